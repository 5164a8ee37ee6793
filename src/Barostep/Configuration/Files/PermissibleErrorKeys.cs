using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Evaluation.Devices;

namespace Barostep.Configuration.Files;

/// <summary>How far a device may err: a share of the span, a class, or a grade.</summary>
/// <param name="ToleranceOfSpan">The widest that is permitted anywhere on the scale.</param>
internal sealed record PermissibleError(double ToleranceOfSpan, DialGaugeClass? Class, AsmeGrade? Grade);

/// <summary>Reads the permissible error of a device, stated in one of three ways.</summary>
internal static class PermissibleErrorKeys
{
    private static readonly Dictionary<string, AsmeGrade> _grades = AsmeGrade.All.ToDictionary(grade => grade.Name, StringComparer.Ordinal);

    private static readonly string[] _keys = ["tolerance", "accuracy_class", "grade"];

    public static PermissibleError? Read(TableReader file)
    {
        string[] written = [.. _keys.Where(file.Has)];
        if (written.Length > 1)
        {
            file.File.Report(file.At(written[1]), $"{written[1]} beside {written[0]}", "the permissible error is stated once", $"keep one of {string.Join(", ", written)}");
        }

        double? ofClass = file.Has("accuracy_class") ? file.Number("accuracy_class", "1.6") : null;
        string? ofGrade = file.TextIfAny("grade", "A");
        decimal? share = file.Has("accuracy_class") || file.Has("grade")
            ? file.QuantityIfAny("tolerance", QuantityKind.ShareOfSpan, "0.0001 % of span", "20 % of span")
            : file.Quantity("tolerance", QuantityKind.ShareOfSpan, "0.0001 % of span", "20 % of span");
        file.Allow("accuracy_class");
        if (ofClass is { } percent)
            return Class(file, percent);
        if (ofGrade is not null)
            return Grade(file, ofGrade);
        return share is { } tolerance ? new PermissibleError((double)tolerance, null, null) : null;
    }

    private static PermissibleError? Class(TableReader file, double percent)
    {
        if (DialGaugeClass.Find(percent) is { } found)
            return new PermissibleError(found.ErrorOfSpan, found, null);
        string all = string.Join(", ", DialGaugeClass.All.Select(one => one.PercentOfSpan.ToString(MessageText.Plain)));
        file.File.Report(file.At("accuracy_class"), $"accuracy_class = {percent.ToString(MessageText.Plain)}", $"EN 837-1 has the classes {all}", "write the one on the dial");
        return null;
    }

    private static PermissibleError? Grade(TableReader file, string name)
    {
        if (_grades.TryGetValue(name, out AsmeGrade? found))
            return new PermissibleError(Math.Max(found.OuterPercent, found.MiddlePercent) / 100, null, found);
        file.File.Report(file.At("grade"), $"grade = \"{MessageText.OneLine(name)}\"", $"ASME B40.100 has the grades {string.Join(", ", _grades.Keys)}", "write the one on the dial");
        return null;
    }
}
