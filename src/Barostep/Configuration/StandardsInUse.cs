using System.Globalization;

namespace Barostep.Configuration;

/// <summary>Who allowed an overdue standard to be used all the same, and why.</summary>
public sealed record OverdueAllowance(string By, string Reason);

/// <summary>A standard at work on a bench.</summary>
/// <param name="Role">The bench's table: <c>reference</c>, <c>multimeter</c>, or the name of an input.</param>
/// <param name="Standard">As its file described it when the run was made.</param>
/// <param name="Allowance">Set where it was overdue and somebody allowed it.</param>
public sealed record StandardUse(string Role, ReferenceStandard Standard, OverdueAllowance? Allowance);

/// <summary>Which standards a bench works with, and whether they may be used on a day.</summary>
public static class StandardsInUse
{
    /// <summary>The standards of a bench by role, the reference first, then those of its inputs.</summary>
    public static IReadOnlyList<(string Role, ReferenceStandard Standard)> Of(BenchDefinition bench)
    {
        ArgumentNullException.ThrowIfNull(bench);
        var used = new List<(string, ReferenceStandard)>();
        if (bench.Reference.Standard is { } reference)
            used.Add(("reference", reference));
        foreach (DeviceInput input in bench.Inputs)
        {
            if (input.Fitted.Standard is { } electrical)
                used.Add((input.Name, electrical));
        }

        return used;
    }

    /// <summary>What stands against the standards on a day; empty where all may be used, or a person allows the overdue ones.</summary>
    /// <remarks>A calibration dated after today is refused in any case: the clock or the file is wrong.</remarks>
    public static IReadOnlyList<ConfigurationError> Check(
        BenchDefinition bench, DateOnly today, OverdueAllowance? allowance, SourceMap origins)
    {
        ArgumentNullException.ThrowIfNull(origins);
        var errors = new ErrorList();
        string day = today.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        foreach ((string role, ReferenceStandard standard) in Of(bench).DistinctBy(used => used.Standard.Name))
        {
            if (standard.CalibratedOn > today)
            {
                errors.Add(origins.Of(standard, "calibrated"), $"the {role} {standard.Name} was calibrated after today, {day}",
                    "a certificate is older than its use", "correct the date, or the machine's clock");
            }

            if (standard.IsOverdue(today) && allowance is null)
            {
                errors.Add(origins.Of(standard, "due"), $"the {role} {standard.Name} is overdue on {day}",
                    "an overdue standard is used only where a named person allows it",
                    "have it calibrated and write its new certificate, or say who allows it and why");
            }
        }

        return errors.Sorted();
    }

    /// <summary>For the record: every standard as it is now, with the allowance where it was needed.</summary>
    public static IReadOnlyList<StandardUse> Record(BenchDefinition bench, DateOnly today, OverdueAllowance? allowance) =>
        [.. Of(bench).Select(used => new StandardUse(used.Role, used.Standard, used.Standard.IsOverdue(today) ? allowance : null))];

    /// <summary>For the record of one device: the reference's and that of the input which reads the device.</summary>
    public static IReadOnlyList<StandardUse> RecordFor(DeviceDefinition device, BenchDefinition bench, DateOnly today, OverdueAllowance? allowance)
    {
        string? input = bench.InputOf(device)?.Name;
        return [.. Record(bench, today, allowance).Where(use => use.Role == "reference" || use.Role == input)];
    }
}
