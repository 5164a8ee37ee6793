namespace Barostep.Evaluation.Characteristics;

/// <summary>Linearity and adjustment advice in words, for below a result's table.</summary>
public static class CharacteristicText
{
    /// <summary>Nothing where no point has figures, or all are at one nominal.</summary>
    public static void Write(TextWriter writer, RunResult result)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(result);
        // A switch has two points, and a line through them says nothing.
        if (result.Switching is not null)
            return;
        IReadOnlyList<SeriesError> errors = MeasuredErrors.ErrorsOf(result);
        if (errors.Count == 0)
            return;
        MeasuredErrors measured = MeasuredErrors.Of(errors);
        if (measured.Means.Count < 2)
            return;
        double tolerance = result.Record.Device.ToleranceOfSpan;
        int decimals = ResultFormat.DecimalsFor(tolerance * 100);
        writer.WriteLine();
        writer.WriteLine($"linearity   terminal-based {Departure(LineKind.TerminalBased)} %, zero-based {Departure(LineKind.ZeroBased)} %, independent {Departure(LineKind.Independent)} % of span");
        writer.WriteLine($"adjustment  {AdjustmentAdvice.For(errors).InWords(tolerance)}");

        string Departure(LineKind kind) => ResultFormat.Plain(Math.Abs(measured.Linearity(kind).LargestDeparture) * 100, decimals);
    }
}
