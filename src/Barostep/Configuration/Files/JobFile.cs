using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>jobs/NAME.toml</c>.</summary>
internal static class JobFile
{
    /// <summary>The job, or null where a value could not be read.</summary>
    /// <param name="name">Name of the job.</param>
    /// <param name="file">Its file.</param>
    /// <param name="devices">Names of the devices that have a file.</param>
    public static JobDefinition? Read(string name, TableReader file, IReadOnlyCollection<string> devices)
    {
        string? customer = file.Text("customer", "District heating, network operations");
        string address = file.TextOr("customer_address", string.Empty, "Boiler House Lane 4");
        string postCode = file.TextOr("customer_post_code", string.Empty, "00471");
        string city = file.TextOr("customer_city", string.Empty, "Northfield");
        string country = file.TextOr("customer_country", string.Empty, "XX");
        string? order = file.Text("order", "4500012345");
        string? device = file.Text("device", "transmitter-16bar");
        DateOnly? receivedOn = file.Day("received");
        string? receivedBy = file.Text("received_by", "name of who took it in");
        string? condition = file.Text("condition", "clean, no visible damage");
        string accessories = file.TextOr("accessories", string.Empty, "adapter G 1/2");
        string? method = file.Text("method", "own procedure P-12, edition 3");
        DecisionAgreement? decision = DecisionKeys.Read(file, "decision_rule");
        bool? adjustment = file.Truth("adjustment_allowed");
        bool dueDate = file.TruthOr("due_date_on_certificate", false);
        file.Close();
        CheckCountry(file, country);
        if (device is not null && !devices.Contains(device))
        {
            string? near = NearestName.Of(device, devices);
            file.File.Report(file.At("device"), $"device names \"{MessageText.OneLine(device)}\"", $"there is no devices/{MessageText.OneLine(device)}.toml",
                near is null ? "write that file or name another" : $"did you mean \"{near}\"");
        }

        if (!file.File.IsUsable)
            return null;

        return new JobDefinition
        {
            Name = name,
            Customer = customer!,
            CustomerAddress = address,
            CustomerPostCode = postCode,
            CustomerCity = city,
            CustomerCountry = country,
            Order = order!,
            Device = device!,
            ReceivedOn = receivedOn!.Value,
            ReceivedBy = receivedBy!,
            Condition = condition!,
            Accessories = accessories,
            Method = method!,
            Decision = decision!,
            AdjustmentAllowed = adjustment!.Value,
            DueDateAgreed = dueDate,
        };
    }

    private static void CheckCountry(TableReader file, string country)
    {
        if (country is "" or [>= 'A' and <= 'Z', >= 'A' and <= 'Z'])
            return;
        file.File.Report(file.At("customer_country"), $"customer_country = \"{MessageText.OneLine(country)}\"", "a country is two capital letters of ISO 3166-1", "write for example \"DE\"");
    }
}
