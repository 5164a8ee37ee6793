using System.Globalization;
using Barostep.Daemon.Output;
using Barostep.Procedures.Settling;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary>Why each point of a run was read when it was, and whether its record gives the same decision again.</summary>
internal static class SettlingReport
{
    /// <summary>Writes one object a decided point, in pascals and seconds; false where a decision cannot be made again as it stands.</summary>
    public static bool WriteJson(TextWriter output, RunRecord run)
    {
        PointRecord[] decided = [.. run.Points.Where(point => point.Settling is not null)];
        (SettlingForecast? AtBeginning, SettlingForecast? OverReading)[] again = [.. SettlingReplay.Of(decided.Select(point => point.Settling!))];
        bool[] same = [.. decided.Zip(again, (point, made) => made == (point.Settling!.AtBeginning, point.Settling.OverReading))];
        Json.Write(output, decided.Select((point, i) => new
        {
            point = point.Index,
            nominalPascals = point.NominalPascals,
            waitedSeconds = (point.SettledMicros - point.ReachedMicros) * 1e-6,
            atBeginning = point.Settling!.AtBeginning,
            overReading = point.Settling.OverReading,
            limitPascals = point.Settling.LimitPascals,
            same = same[i],
        }));
        return same.All(one => one);
    }

    /// <summary>Writes the table; false where a decision cannot be made again as it stands.</summary>
    public static bool Write(TextWriter output, RunRecord run)
    {
        PointRecord[] decided = [.. run.Points.Where(point => point.Settling is not null)];
        if (decided.Length == 0)
        {
            output.WriteLine($"run {run.Id} was read by the plain criterion: band, window, slope and least dwell, as its procedure says");
            return true;
        }

        double unit = run.Device.Unit.PascalsAsDouble;
        // A hundredth of the limit is the last digit.
        int decimals = Math.Clamp(2 - (int)Math.Floor(Math.Log10(decided[0].Settling!.LimitPascals / unit)), 0, 10);
        var table = new ColumnTable("point>", "nominal>", "waited s>", "to come>", "u>", "over reading>", "u>", "limit>", "pairs>", "again");
        bool same = true;
        (SettlingForecast? AtBeginning, SettlingForecast? OverReading)[] again = [.. SettlingReplay.Of(decided.Select(point => point.Settling!))];
        for (int i = 0; i < decided.Length; i++)
        {
            SettlingDecision decision = decided[i].Settling!;
            bool equal = again[i] == (decision.AtBeginning, decision.OverReading);
            same &= equal;
            table.Add(
                decided[i].Index.ToString(CultureInfo.InvariantCulture),
                (decided[i].NominalPascals / unit).ToString("F3", CultureInfo.InvariantCulture),
                ((decided[i].SettledMicros - decided[i].ReachedMicros) * 1e-6).ToString("F1", CultureInfo.InvariantCulture),
                Value(decision.AtBeginning?.RemainingPascals),
                Value(decision.AtBeginning?.UncertaintyPascals),
                Value(decision.OverReading?.RemainingPascals),
                Value(decision.OverReading?.UncertaintyPascals),
                Value(decision.LimitPascals),
                (decision.OverReading?.Pairs ?? 0).ToString(CultureInfo.InvariantCulture),
                equal ? "same" : "DIFFERS");
        }

        table.Write(output);
        output.WriteLine($"in {run.Device.Unit}; to come: expected difference of the mean error over the reading from the error at rest;");
        output.WriteLine($"limit: 65 % of it are used, with {decided[0].Settling!.CoverageFactor:0.#} u added, when the reading begins and again when it is over");
        return same;

        string Value(double? pascals) => pascals is { } p ? (p / unit).ToString($"F{decimals}", CultureInfo.InvariantCulture) : "-";
    }
}
