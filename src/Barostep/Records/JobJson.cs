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
        json.WriteString("order", job.Order);
        json.WriteString("device", job.Device);
        json.WriteString("receivedOn", RecordJsonWriter.Day(job.ReceivedOn));
        json.WriteString("receivedBy", job.ReceivedBy);
        json.WriteString("condition", job.Condition);
        json.WriteString("accessories", job.Accessories);
        json.WriteString("method", job.Method);
        json.WriteString("decisionRule", JsonWords.Of(job.DecisionRule));
        json.WriteNumber("guardBandOfUncertainty", job.GuardBandOfUncertainty);
        json.WriteBoolean("adjustmentAllowed", job.AdjustmentAllowed);
        json.WriteBoolean("dueDateAgreed", job.DueDateAgreed);
        json.WriteEndObject();
    }

    public static JobDefinition Read(JsonPlace json) => new()
    {
        Name = json.Member("name").Text(),
        Customer = json.Member("customer").Text(),
        CustomerAddress = json.Member("customerAddress").Text(),
        Order = json.Member("order").Text(),
        Device = json.Member("device").Text(),
        ReceivedOn = json.Member("receivedOn").Day(),
        ReceivedBy = json.Member("receivedBy").Text(),
        Condition = json.Member("condition").Text(),
        Accessories = json.Member("accessories").Text(),
        Method = json.Member("method").Text(),
        DecisionRule = json.Member("decisionRule").Word<AgreedRule>(),
        GuardBandOfUncertainty = json.Member("guardBandOfUncertainty").Number(),
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
