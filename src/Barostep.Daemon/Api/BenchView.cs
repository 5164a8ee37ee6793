using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Live;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Api;

/// <summary>How pressures are shown. Every pressure of the interface is in Pa absolute unless its name says otherwise.</summary>
/// <param name="Unit">Symbol of the unit.</param>
/// <param name="UnitPascals">One unit in Pa.</param>
/// <param name="Reference">Whether it is shown from the atmosphere or from vacuum.</param>
/// <param name="AtmospherePascals">What gauge values count from.</param>
/// <param name="Decimals">Decimals that are worth showing.</param>
internal sealed record DisplayView(string Unit, double UnitPascals, PressureReference Reference, double AtmospherePascals, int Decimals)
{
    /// <summary>As the device's own scale does, from the atmosphere of the day.</summary>
    public static DisplayView Of(RunRecord run) => new(
        run.Device.Unit.Symbol,
        run.Device.Unit.PascalsAsDouble,
        run.Device.Reference,
        run.AtmospherePascals,
        DecimalsFor(run.Device.ToleranceOfSpan * run.Device.SpanPascals / run.Device.Unit.PascalsAsDouble));

    /// <summary>As the device's own scale does; without a device, as the bench's ceiling was written.</summary>
    public static DisplayView Of(BenchDefinition bench, DeviceDefinition? device)
    {
        Pressure atmosphere = BenchLimits.AtmosphereOf(bench);
        PressureUnit unit = device?.Unit ?? bench.Ceiling.Unit;
        // A tenth of the tolerance, or a ten-thousandth of the ceiling.
        double step = device is null
            ? (bench.Ceiling.ToAbsolute(atmosphere) - atmosphere).Pascals / 1_000
            : device.ToleranceOfSpan * device.SpanPascals;
        return new DisplayView(
            unit.Symbol, unit.PascalsAsDouble, device?.Reference ?? bench.Ceiling.Reference, atmosphere.Pascals, DecimalsFor(step / unit.PascalsAsDouble));
    }

    private static int DecimalsFor(double step) => Math.Clamp(1 - (int)Math.Floor(Math.Log10(step)), 0, 6);
}

/// <summary>One sensor's newest report.</summary>
/// <param name="Quality">What became of the newest question.</param>
/// <param name="Pascals">Absolute; null unless the quality is good.</param>
/// <param name="AgeMs">Since the question was sent; null before the first.</param>
internal sealed record SensorView(ReadingQuality Quality, double? Pascals, double? AgeMs);

/// <summary>Why the bench does not do what was asked.</summary>
internal sealed record CauseView(Cause Cause, Verdict Verdict, string What, string Advice)
{
    public static CauseView Of(Cause cause)
    {
        CausePolicy policy = CausePolicy.Of(cause);
        return new CauseView(cause, policy.Verdict, policy.What, policy.Advice);
    }
}

/// <summary>A trip that waits for a person.</summary>
internal sealed record TripView(uint Number, CauseView FirstCause);

/// <summary>What the guard of a bench sees and has decided.</summary>
/// <param name="AgeMs">Age of all this.</param>
/// <param name="Depressurised">Whether every fitted sensor has proved it.</param>
/// <param name="Trip">Null while none is latched.</param>
/// <param name="LineFault">Why a line cannot be used; null while all can.</param>
internal sealed record GuardView(
    double AgeMs,
    GuardPhase Phase,
    Verdict Verdict,
    bool Depressurised,
    bool SamplesVoid,
    double CeilingPascals,
    IReadOnlyList<CauseView> Causes,
    TripView? Trip,
    string? LineFault,
    SensorView Reference,
    SensorView SourceSensor,
    double WorstLatenessMs,
    long LateCycles);

/// <summary>One bench as it is now.</summary>
/// <param name="GuardConnected">Without a guard nothing here can raise pressure.</param>
/// <param name="Guard">Null before its first word.</param>
/// <param name="Run">The run that goes on, or the last one; null before the first.</param>
/// <param name="Revision">Also the ETag: send it back as If-Match to start a run or to change the ceiling.</param>
internal sealed record BenchView(
    string Name,
    string Title,
    bool Simulated,
    DisplayView Display,
    bool GuardConnected,
    GuardView? Guard,
    RunView? Run,
    string Revision)
{
    public static BenchView Of(BenchBoard board)
    {
        BenchSight sight = board.Look();
        DeviceDefinition? device = sight.Run?.Job.Device;
        return new BenchView(
            board.Bench.Name,
            board.Bench.Title,
            board.Simulated,
            DisplayView.Of(board.Bench, device),
            sight.GuardIsHere,
            GuardOf(sight),
            sight.Run is { } run ? RunView.Of(run, sight.NowMicros) : null,
            sight.Revision);
    }

    private static GuardView? GuardOf(BenchSight sight)
    {
        if (sight.Told is not { } told)
            return null;
        BenchSnapshot now = told.Bench;
        var causes = new List<CauseView>();
        foreach (Cause cause in now.Causes)
            causes.Add(CauseView.Of(cause));
        return new GuardView(
            sight.AgeMicros!.Value / 1e3,
            now.Phase,
            now.Verdict,
            now.Depressurised,
            now.SamplesVoid,
            now.EffectiveCeiling.Pascals,
            causes,
            now.FirstCause == Cause.None ? null : new TripView(now.TripNumber, CauseView.Of(now.FirstCause)),
            now.LineFault,
            Sensor(now.Reference, sight.NowMicros),
            Sensor(now.SourceSensor, sight.NowMicros),
            told.Guard.WorstLatenessMicros / 1e3,
            told.Guard.LateCycles);
    }

    private static SensorView Sensor(in SensorReading reading, long nowMicros) => new(
        reading.Quality,
        reading.IsGood ? reading.Value.Pascals : null,
        reading.AskedAtMicros > 0 ? Math.Max(0, nowMicros - reading.AskedAtMicros) / 1e3 : null);
}
