using System.Globalization;

namespace Barostep.Safety;

/// <summary>Finds everything that stops a budget from being computed.</summary>
internal static class BudgetInputsCheck
{
    public static IReadOnlyList<string> Problems(BudgetInputs inputs)
    {
        List<string> problems = [];
        if (FillGas.Find(inputs.Gas, out string gasProblem) is null)
            problems.Add(gasProblem);
        Positive(problems, "supply maximum", inputs.SupplyMaximumPascals, "Pa absolute");
        Positive(problems, "supply temperature", inputs.SupplyTemperatureKelvin, "K");
        Positive(problems, "fill conductance", inputs.FillConductance, "m³/(s·Pa)");
        Positive(problems, "dump conductance", inputs.DumpConductance, "m³/(s·Pa)");
        NotNegative(problems, "vacuum conductance", inputs.VacuumConductance, "m³/(s·Pa)");
        CriticalRatio(problems, "fill", inputs.FillCriticalRatio);
        CriticalRatio(problems, "dump", inputs.DumpCriticalRatio);
        Positive(problems, "smallest volume", inputs.VolumeMinimum, "m³");
        Positive(problems, "largest volume", inputs.VolumeMaximum, "m³");
        if (inputs.VolumeMaximum < inputs.VolumeMinimum)
            problems.Add("the largest volume is below the smallest volume; exchange them");
        NotNegative(problems, "trapped volume", inputs.TrappedVolume, "m³");
        Positive(problems, "atmosphere", inputs.AtmospherePascals, "Pa absolute");
        NotNegative(problems, "spread of the atmosphere", inputs.AtmosphereSpreadPascals, "Pa");
        NotNegative(problems, "control margin", inputs.ControlMarginPascals, "Pa");
        NotNegative(problems, "uncertainty of the reference", inputs.ReferenceUncertaintyPascals, "Pa");
        NotNegative(problems, "highest set point", inputs.SetPointMaximumPascals, "Pa absolute");
        Limits(problems, inputs);
        Hardware(problems, inputs);
        Timing(problems, inputs.Timing);
        return problems;
    }

    private static void Limits(List<string> problems, BudgetInputs inputs)
    {
        if (!inputs.Limits.Any(limit => limit.Ceiling is not null))
            problems.Add("there is no ceiling; state at least one");
        if (!inputs.Limits.Any(limit => limit.Floor is not null))
            problems.Add("there is no floor; state at least one");
        if (inputs.Parts.Count == 0)
            problems.Add("there is no rated part; list every part that is under pressure");
        foreach (LimitContribution limit in inputs.Limits)
        {
            Positive(problems, $"ceiling of \"{limit.Source}\"", limit.Ceiling?.Pascals ?? 1, "Pa absolute");
            NotNegative(problems, $"floor of \"{limit.Source}\"", limit.Floor?.Pascals ?? 0, "Pa absolute");
        }

        foreach (RatedPart part in inputs.Parts)
        {
            Positive(problems, $"rating of \"{part.Name}\"", part.RatingPascals, "Pa absolute");
            NotNegative(problems, $"floor of \"{part.Name}\"", part.FloorPascals, "Pa absolute");
        }
    }

    private static void Hardware(List<string> problems, BudgetInputs inputs)
    {
        if (inputs.Relief is { } relief)
        {
            Positive(problems, $"set pressure of relief valve \"{relief.Name}\"", relief.SetGaugePascals, "Pa gauge");
            Share(problems, $"tolerance of relief valve \"{relief.Name}\"", relief.Tolerance);
            Positive(problems, $"conductance of relief valve \"{relief.Name}\"", relief.Conductance, "m³/(s·Pa)");
        }

        if (inputs.Switch is { } guard)
        {
            Positive(problems, $"set point of pressure switch \"{guard.Name}\"", guard.SetGaugePascals, "Pa gauge");
            Share(problems, $"tolerance of pressure switch \"{guard.Name}\"", guard.Tolerance);
            NotNegative(problems, $"response of pressure switch \"{guard.Name}\"", guard.ResponseSeconds, "s");
        }

        if (inputs.KeepAlive is { } relay)
        {
            Positive(problems, "keep-alive time-out", relay.TimeoutSeconds, "s");
            NotNegative(problems, "time of the keep-alive relay", relay.RelaySeconds, "s");
            if (relay.TimeoutCount is not (1 or 2))
                problems.Add($"the keep-alive time-out counts {relay.TimeoutCount} times; write 1 for a relay that challenges, 2 for a dumb one");
        }
    }

    private static void Timing(List<string> problems, GuardTiming timing)
    {
        Positive(problems, "poll period", timing.PollPeriodSeconds, "s");
        Positive(problems, "bits per byte", timing.BitsPerByte, "bit");
        Positive(problems, "line speed", timing.Baud, "bit/s");
        Positive(problems, "length of the request", timing.RequestBytes, "bytes");
        Positive(problems, "length of the reply", timing.ReplyBytes, "bytes");
        Positive(problems, "length of the command", timing.CommandBytes, "bytes");
        NotNegative(problems, "missed replies", timing.MissedReplies, "replies");
        (string Name, double Seconds)[] delays =
        [
            ("turnaround", timing.TurnaroundSeconds), ("latency of the line adapter", timing.UsbLatencySeconds),
            ("other exchanges", timing.OtherExchangesSeconds), ("age of a sample", timing.ConversionAgeSeconds),
            ("lag of the sensor", timing.SensorLagSeconds), ("lag of the tubing", timing.LineLagSeconds),
            ("time to decide", timing.ExecutionSeconds), ("lease of the source's line", timing.LeaseSeconds),
            ("dead time of the valve", timing.ValveDeadSeconds), ("closing time of the valve", timing.ValveCloseSeconds),
            ("jitter", timing.JitterSeconds),
        ];
        foreach ((string name, double seconds) in delays)
            NotNegative(problems, name, seconds, "s");
        NotNegative(problems, "age of a stale reading", timing.StaleAgeSeconds ?? 0, "s");
        if (timing.CommandLine is not { } line)
            return;
        Positive(problems, "bits per byte of the command's line", line.BitsPerByte, "bit");
        Positive(problems, "speed of the command's line", line.Baud, "bit/s");
        NotNegative(problems, "turnaround of the source", line.TurnaroundSeconds, "s");
        NotNegative(problems, "longest exchange on the command's line", line.LongestExchangeSeconds, "s");
    }

    // Written as "not above" so that NaN is a problem too.
    private static void Positive(List<string> problems, string name, double value, string unit)
    {
        if (!(value > 0) || double.IsInfinity(value))
            problems.Add(string.Create(CultureInfo.InvariantCulture, $"{name} is {value} {unit}; write a number above 0"));
    }

    private static void NotNegative(List<string> problems, string name, double value, string unit)
    {
        if (!(value >= 0) || double.IsInfinity(value))
            problems.Add(string.Create(CultureInfo.InvariantCulture, $"{name} is {value} {unit}; write 0 or a number above it"));
    }

    private static void CriticalRatio(List<string> problems, string name, double value)
    {
        if (!(value is >= 0 and < 1))
            problems.Add(string.Create(CultureInfo.InvariantCulture, $"critical pressure ratio of the {name} is {value}; write a number from 0 up to, not including, 1"));
    }

    private static void Share(List<string> problems, string name, double value)
    {
        if (!(value is >= 0 and < 0.5))
            problems.Add(string.Create(CultureInfo.InvariantCulture, $"{name} is {value}; write a share from 0 to below 0.5 (0.03 is 3 %)"));
    }
}
