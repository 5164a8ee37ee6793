using System.Globalization;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Runs of drifting transmitters over years, made from a seed; marked as simulated.</summary>
internal sealed class SyntheticRuns(DeviceDefinition device, Procedure procedure, IReadOnlyList<StandardUse> standards, ulong seed, int devices)
{
    private static readonly DateTimeOffset First = new(2016, 1, 4, 6, 0, 0, TimeSpan.Zero);

    private readonly double[] _shares =
        [.. procedure.PointsOfSpan, .. procedure.Descending ? procedure.PointsOfSpan.Reverse() : []];

    public int SamplesPerRun => _shares.Length * procedure.Samples;

    public static string Id(ulong seed, int run)
    {
        ulong mixed = Mixed(seed ^ Mixed((ulong)run));
        return string.Create(CultureInfo.InvariantCulture, $"{run:x8}-{mixed >> 48:x4}-8{(mixed >> 32) & 0xFFF:x3}-8{(mixed >> 16) & 0xFFF:x3}-{mixed & 0xFFFF_FFFF_FFFF:x12}");
    }

    public DeviceDefinition Device(int number) => device with
    {
        SerialNumber = string.Create(CultureInfo.InvariantCulture, $"B-{number:D5}"),
        Tag = string.Create(CultureInfo.InvariantCulture, $"PT-{number:D5}"),
    };

    public RunRecord Make(int run)
    {
        DateTimeOffset started = First.AddMinutes(50L * run);
        double drift = Uniform(run % devices, 0) * 0.001;
        double years = (started - First).TotalDays / 365.25;
        DeviceDefinition made = Device(run % devices);
        return new RunRecord
        {
            Id = Id(seed, run),
            StartedUtc = started,
            EndedUtc = started.AddMinutes(40),
            Bench = "demo",
            Device = made,
            Procedure = procedure,
            Instruments = new Dictionary<string, string> { ["reference"] = "SIMULATED,INDICATOR,SI-02077,1.0" },
            Simulated = true,
            Outcome = RunOutcome.Completed,
            OutcomeReason = string.Empty,
            VentConfirmed = true,
            Standards = standards,
            Zeros = [],
            Points = [.. _shares.Select((share, at) => Point(made, run, at, share, (drift * years) + (0.0002 * Uniform(run, 1))))],
            CeilingPascals = 1_800_940,
            HighestPascals = 1_701_000,
            AtmospherePascals = 100_940,
            JournalHead = string.Empty,
            SoftwareVersion = ProgramVersion.Text,
        };
    }

    private PointRecord Point(DeviceDefinition made, int run, int at, double share, double error)
    {
        long start = (at + 1) * 60_000_000L;
        SeriesDirection direction = at < procedure.PointsOfSpan.Count ? SeriesDirection.Ascending : SeriesDirection.Descending;
        double nominal = made.FromPascals + (share * made.SpanPascals);
        Sample[] samples =
        [
            .. Enumerable.Range(0, procedure.Samples).Select(sample =>
            {
                long asked = start + (sample * procedure.SampleIntervalMicros);
                double reference = nominal + (5 * Uniform(run, (at * 1000) + sample + 2));
                double output = made.OutputFrom + ((((reference - made.FromPascals) / made.SpanPascals) + error) * (made.OutputTo - made.OutputFrom));
                return new Sample(Reading(reference, asked), Reading(output, asked), false);
            }),
        ];
        return new PointRecord(at + 1, 1, direction, nominal, start - 40_000_000, start - 20_000_000, start, PointMarks.None, samples);
    }

    private static RawReading Reading(double value, long asked) =>
        new(value, ResultFormat.Signed(value, 6), asked, asked + 25_000);

    /// <summary>From −1 to 1, the same for the same numbers on every machine.</summary>
    private double Uniform(int run, int draw) => ((Mixed(seed ^ Mixed(((ulong)run << 20) + (ulong)draw)) >> 11) * Math.Pow(2, -52)) - 1;

    // SplitMix64's finaliser (Steele, Lea, Flood 2014): spreads neighbouring numbers over all bits.
    private static ulong Mixed(ulong value)
    {
        value += 0x9E3779B97F4A7C15;
        value = (value ^ (value >> 30)) * 0xBF58476D1CE4E5B9;
        value = (value ^ (value >> 27)) * 0x94D049BB133111EB;
        return value ^ (value >> 31);
    }
}
