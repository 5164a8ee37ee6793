using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Evaluation.Devices;
using Barostep.Safety;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>devices/NAME.toml</c>.</summary>
internal static class DeviceFile
{
    private static readonly Dictionary<string, DeviceOutput> Outputs = new(StringComparer.Ordinal)
    {
        ["current"] = DeviceOutput.Current,
        ["voltage"] = DeviceOutput.Voltage,
        ["digital"] = DeviceOutput.Digital,
        ["dial"] = DeviceOutput.Dial,
        ["contact"] = DeviceOutput.Contact,
    };

    /// <summary>The device, or null where a value could not be read.</summary>
    public static DeviceDefinition? Read(string name, TableReader file)
    {
        string? title = file.Text("title", "Pressure transmitter, flow line");
        string? manufacturer = file.Text("manufacturer", "Brandt");
        string? model = file.Text("model", "T16");
        string? serialNumber = file.Text("serial_number", "12345");
        string tag = file.TextOr("tag", string.Empty, "PT-101");
        StatedPressure? from = file.Pressure("range_from", "0 bar gauge");
        StatedPressure? to = file.Pressure("range_to", "16 bar gauge");
        StatedPressure? rating = file.Pressure("rating", "32 bar gauge");
        StatedPressure? floor = file.Pressure("floor", "-1 bar gauge");
        PermissibleError? permissible = PermissibleErrorKeys.Read(file);
        decimal resolution = file.QuantityOr("resolution", QuantityKind.PressureDifference, "0 Pa", "100 bar", 0m);
        decimal perKelvin = file.QuantityOr("temperature_coefficient", QuantityKind.PerKelvin, "0 ppm/K", "10000 ppm/K", 0m);
        DecisionAgreement? decision = file.TableIfAny("decision") is { } table ? ReadDecision(table) : DecisionAgreement.PlainLimit;
        TableReader? output = file.Table("output");
        DeviceOutput? kind = output?.Choice("kind", Outputs);
        (decimal From, decimal To) ends = output is null ? default : ReadEnds(output, kind);
        SignalTransfer? transfer = output is null ? null : TransferKeys.Read(output, kind);
        DialScale? dial = output is null ? null : DialKeys.Read(file, output, kind);
        SwitchContact? contact = output is null ? null : ContactKeys.Read(output, kind);
        output?.Close();
        file.Close();
        CheckRange(file, from, to, rating, floor);
        if (output is not null && contact is not null)
            ContactKeys.Check(output, contact, from, to);
        if (!file.File.IsUsable)
            return null;

        return new DeviceDefinition
        {
            Name = name,
            Title = title!,
            Manufacturer = manufacturer!,
            Model = model!,
            SerialNumber = serialNumber!,
            Tag = tag,
            RangeFrom = from!.Value,
            RangeTo = to!.Value,
            Rating = rating!.Value,
            Floor = floor!.Value,
            ToleranceOfSpan = permissible!.ToleranceOfSpan,
            AccuracyClass = permissible.Class,
            Grade = permissible.Grade,
            TemperatureOfSpanPerKelvin = (double)perKelvin,
            ResolutionPascals = (double)(dial?.ReadablePascals ?? resolution),
            Dial = dial,
            Decision = decision!,
            Transfer = transfer!,
            Output = kind!.Value,
            OutputFrom = (double)ends.From,
            OutputTo = (double)ends.To,
            Contact = contact,
        };
    }

    private static DecisionAgreement? ReadDecision(TableReader table)
    {
        DecisionAgreement? agreement = DecisionKeys.Read(table, "rule");
        table.Close();
        return agreement;
    }

    private static (decimal From, decimal To) ReadEnds(TableReader output, DeviceOutput? kind)
    {
        (QuantityKind Kind, string Least, string Most)? unit = kind switch
        {
            DeviceOutput.Current => (QuantityKind.Current, "0 mA", "100 mA"),
            DeviceOutput.Voltage => (QuantityKind.Voltage, "-100 V", "100 V"),
            DeviceOutput.Digital or DeviceOutput.Dial or DeviceOutput.Contact or null => null,
            _ => throw new InvalidOperationException($"Output {kind} is not known here."),
        };
        if (unit is not { } wanted)
        {
            RefuseEnd(output, "from", kind);
            RefuseEnd(output, "to", kind);
            return default;
        }

        decimal? from = output.Quantity("from", wanted.Kind, wanted.Least, wanted.Most);
        decimal? to = output.Quantity("to", wanted.Kind, wanted.Least, wanted.Most);
        if (from is not null && from == to)
            output.File.Report(output.At("to"), "output.to equals output.from", "the two ends of the output differ", "write for example \"20 mA\"");
        return (from.GetValueOrDefault(), to.GetValueOrDefault());
    }

    private static void RefuseEnd(TableReader output, string key, DeviceOutput? kind)
    {
        output.Allow(key);
        if (kind is DeviceOutput.Digital or DeviceOutput.Dial && output.Has(key))
        {
            string word = kind == DeviceOutput.Dial ? "dial" : "digital";
            output.File.Report(output.At(key), $"output.{key} beside kind = \"{word}\"", $"a {word} device tells its pressure itself", "delete it");
        }

        if (kind == DeviceOutput.Contact && output.Has(key))
            output.File.Report(output.At(key), $"output.{key} beside kind = \"contact\"", "a contact is open or closed", "delete it");
    }

    private static void CheckRange(TableReader file, StatedPressure? from, StatedPressure? to, StatedPressure? rating, StatedPressure? floor)
    {
        if (from is not { } low || to is not { } high)
            return;
        if (low.Unit != high.Unit)
            Contradict("range_to", $"range_to is in {high.Unit} and range_from in {low.Unit}", "both range ends have one unit", $"write range_to in {low.Unit}");
        if (low.Reference != high.Reference)
            Contradict("range_to", $"range_to is {Word(high)} and range_from {Word(low)}", "gauge and absolute are not mixed", $"write both {Word(low)}");
        else if (Pascals(high) <= Pascals(low))
            Contradict("range_to", $"range_to = {high} is not above range_from = {low}", "the range rises", "exchange the two or correct one");
        if (!file.File.IsUsable)
            return;
        if (rating is { } most && most.Reference != high.Reference)
            Refuse("rating", $"rating is {Word(most)} and the range {Word(high)}", "gauge and absolute are not mixed", $"write the rating {Word(high)}");
        else if (rating is { } strength && Pascals(strength) < Pascals(high))
            Refuse("rating", $"rating = {strength} is below range_to = {high}", "a device stands its own range", "take the highest permissible pressure from its label");
        if (floor is { } least && least.Reference == low.Reference && Pascals(least) > Pascals(low))
            Refuse("floor", $"floor = {least} is above range_from = {low}", "a device stands its own range", "take the lowest permissible pressure from its label");

        void Contradict(string key, string found, string rule, string instead) =>
            file.File.Report(file.At(key), found, rule, instead);

        void Refuse(string key, string found, string rule, string instead) =>
            file.File.ReportKeepingUsable(file.At(key), found, rule, instead);
    }

    private static decimal Pascals(StatedPressure pressure) => pressure.Value * pressure.Unit.Pascals;

    private static string Word(StatedPressure pressure) => pressure.Reference == PressureReference.Gauge ? "gauge" : "absolute";
}
