using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>jobs/NAME.toml</c>.</summary>
internal static class JobFile
{
    private static readonly Dictionary<string, AgreedRule> Rules = new(StringComparer.Ordinal)
    {
        ["plain-limit"] = AgreedRule.PlainLimit,
        ["keep-away"] = AgreedRule.KeepAway,
        ["four-zones"] = AgreedRule.FourZones,
    };

    /// <summary>The job, or null where a value could not be read.</summary>
    /// <param name="name">Name of the job.</param>
    /// <param name="file">Its file.</param>
    /// <param name="devices">Names of the devices that have a file.</param>
    public static JobDefinition? Read(string name, TableReader file, IReadOnlyCollection<string> devices)
    {
        string? customer = file.Text("customer", "District heating, network operations");
        string address = file.TextOr("customer_address", string.Empty, "Boiler House Lane 4");
        string? order = file.Text("order", "4500012345");
        string? device = file.Text("device", "transmitter-16bar");
        DateOnly? receivedOn = file.Day("received");
        string? receivedBy = file.Text("received_by", "name of who took it in");
        string? condition = file.Text("condition", "clean, no visible damage");
        string accessories = file.TextOr("accessories", string.Empty, "adapter G 1/2");
        string? method = file.Text("method", "own procedure P-12, edition 3");
        AgreedRule? rule = file.Choice("decision_rule", Rules);
        double guardBand = file.RatioOr("guard_band_of_uncertainty", 1, 0, 3);
        bool? adjustment = file.Truth("adjustment_allowed");
        bool dueDate = file.TruthOr("due_date_on_certificate", false);
        file.Close();
        if (rule == AgreedRule.PlainLimit && file.Has("guard_band_of_uncertainty"))
        {
            file.File.Report(file.At("guard_band_of_uncertainty"), "guard_band_of_uncertainty beside decision_rule = \"plain-limit\"",
                "that rule has no guard band", "delete it, or write decision_rule = \"keep-away\"");
        }

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
            Order = order!,
            Device = device!,
            ReceivedOn = receivedOn!.Value,
            ReceivedBy = receivedBy!,
            Condition = condition!,
            Accessories = accessories,
            Method = method!,
            DecisionRule = rule!.Value,
            GuardBandOfUncertainty = guardBand,
            AdjustmentAllowed = adjustment!.Value,
            DueDateAgreed = dueDate,
        };
    }
}
