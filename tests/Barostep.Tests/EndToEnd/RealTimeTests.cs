using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class RealTimeTests(RealTimeRuns runs)
{
    /// <summary>
    /// What pressure that still creeps within the settling criterion, and a reply that comes later on a busy machine, may
    /// add to an error: share of span (trade practice).
    /// </summary>
    private const double SettlingOfSpan = 1e-4;

    [Fact]
    public async Task Through_pseudo_terminals_every_error_agrees_with_virtual_time_within_the_noise()
    {
        EndedRun real = await runs.UndisturbedAsync();
        Assert.True(real.Program.ExitCode == 0, real.Program.Error);
        using var workshop = new Workshop();
        Finished demo = await ChildProgram.RunAsync(workshop.Folder, "demo", "--procedure", "quick", "--config", workshop.Config, "--out", "out");
        Assert.Equal(0, demo.ExitCode);
        using FileStream file = File.OpenRead(workshop.In("out/run.json"));
        RunResult simulated = RunEvaluation.Evaluate(RunJson.Read(file));

        Assert.Equal(6, simulated.Points.Count);
        Assert.Equal(simulated.Points.Select(point => (point.Direction, point.NominalPascals)), real.Result.Points.Select(point => (point.Direction, point.NominalPascals)));
        foreach ((PointResult there, PointResult here) in real.Result.Points.Zip(simulated.Points))
        {
            double allowed = (4 * Math.Sqrt(VarianceOfMean(there.Values!) + VarianceOfMean(here.Values!)))
                + (SettlingOfSpan * simulated.Record.Device.SpanPascals);
            Assert.True(
                Math.Abs(there.Values!.ErrorPascals - here.Values!.ErrorPascals) < allowed,
                $"point {here.Index}: {there.Values.ErrorPascals} Pa and {here.Values.ErrorPascals} Pa, allowed {allowed} Pa");
        }
    }

    [Fact]
    public async Task The_true_pressure_reaches_every_point_and_stays_below_the_effective_ceiling()
    {
        EndedRun run = await runs.UndisturbedAsync();
        double highest = run.Truth.Max(moment => moment.PressurePascals);
        double topPoint = run.Record.Points.Max(point => point.NominalPascals) + run.Record.AtmospherePascals;
        Assert.InRange(highest, topPoint, run.Record.CeilingPascals - 1);
    }

    [Fact]
    [Trait("SR", "35")]
    public async Task An_interrupt_under_pressure_vents_and_ends_with_130()
    {
        EndedRun run = await runs.InterruptedAsync();
        Assert.Equal((130, RunOutcome.Stopped, true), (run.Program.ExitCode, run.Record.Outcome, run.Record.VentConfirmed));
        Assert.Contains("bench vented, as its sensors tell", run.Program.Error, StringComparison.Ordinal);
        TrueMoment last = run.Truth[^1];
        Assert.InRange(last.PressurePascals - last.AtmospherePascals, -500, 500);
        Assert.True(run.Truth.Max(moment => moment.PressurePascals) > 120_000);
    }

    private static double VarianceOfMean(PointValues values)
    {
        double deviation = values.ErrorDeviationPascals ?? 0;
        return deviation * deviation / values.Count;
    }
}
