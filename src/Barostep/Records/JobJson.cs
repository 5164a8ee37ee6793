using System.Text.Json;
using Barostep.Configuration;

namespace Barostep.Records;

/// <summary>Jobs as JSON.</summary>
internal static class JobJson
{
    public static void Write(Utf8JsonWriter json, JobDefinition job)
    {
        json.WriteStartObject();
        json.WriteString("name", job.Name);
        json.WriteString("customer", job.Customer);
        json.WriteString("customerAddress", job.CustomerAddress);
        json.WriteString("customerPostCode", job.CustomerPostCode);
        json.WriteString("customerCity", job.CustomerCity);
        json.WriteString("customerCountry", job.CustomerCountry);
        json.WriteString("order", job.Order);
        json.WriteString("device", job.Device);
        json.WriteString("receivedOn", RecordJsonWriter.Day(job.ReceivedOn));
        json.WriteString("receivedBy", job.ReceivedBy);
        json.WriteString("condition", job.Condition);
        json.WriteString("accessories", job.Accessories);
        json.WriteString("method", job.Method);
        DecisionJson.Write(json, job.Decision);
        json.WriteBoolean("adjustmentAllowed", job.AdjustmentAllowed);
        json.WriteBoolean("dueDateAgreed", job.DueDateAgreed);
        json.WriteEndObject();
    }

    public static JobDefinition Read(JsonPlace json) => new()
    {
        Name = json.Member("name").Text(),
        Customer = json.Member("customer").Text(),
        CustomerAddress = json.Member("customerAddress").Text(),
        CustomerPostCode = json.MemberIfAny("customerPostCode")?.Text() ?? string.Empty,
        CustomerCity = json.MemberIfAny("customerCity")?.Text() ?? string.Empty,
        CustomerCountry = json.MemberIfAny("customerCountry")?.Text() ?? string.Empty,
        Order = json.Member("order").Text(),
        Device = json.Member("device").Text(),
        ReceivedOn = json.Member("receivedOn").Day(),
        ReceivedBy = json.Member("receivedBy").Text(),
        Condition = json.Member("condition").Text(),
        Accessories = json.Member("accessories").Text(),
        Method = json.Member("method").Text(),
        Decision = DecisionJson.Read(json),
        AdjustmentAllowed = json.Member("adjustmentAllowed").Flag(),
        DueDateAgreed = json.Member("dueDateAgreed").Flag(),
    };

    public static void WriteUse(Utf8JsonWriter json, JobUse? use)
    {
        if (use is null)
        {
            json.WriteNullValue();
            return;
        }

        json.WriteStartObject();
        json.WriteString("stage", JsonWords.Of(use.Stage));
        json.WritePropertyName("definition");
        Write(json, use.Job);
        json.WriteEndObject();
    }

    public static JobUse ReadUse(JsonPlace json) =>
        new(Read(json.Member("definition")), json.Member("stage").Word<JobStage>());
}
