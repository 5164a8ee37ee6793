using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using CsCheck;

namespace Barostep.Tests.Records;

/// <summary>Runs for tests: one of known errors, and random ones of every shape the record allows.</summary>
internal static class SampleRuns
{
    public static readonly DeviceDefinition Transmitter = new()
    {
        Name = "return-line-transmitter",
        Title = "Return line pressure transmitter",
        Manufacturer = "Workshop stock",
        Model = "PT-16",
        SerialNumber = "DH-0417",
        Tag = "PT-204",
        RangeFrom = Gauge(0m),
        RangeTo = Gauge(10.0m),
        Rating = Gauge(20m),
        Floor = Gauge(-1m),
        ToleranceOfSpan = 0.005,
        Output = DeviceOutput.Current,
        OutputFrom = 0.004,
        OutputTo = 0.020,
    };

    public static readonly DeviceDefinition DigitalGauge = Transmitter with
    {
        Name = "substation-gauge",
        Title = "Substation digital gauge",
        Output = DeviceOutput.Digital,
        OutputFrom = 0,
        OutputTo = 0,
    };

    public static readonly Procedure UpAndDown = new()
    {
        Name = "six-up-six-down",
        Title = "Six points up and down",
        PointsOfSpan = [0, 0.2, 0.4, 0.6, 0.8, 1],
        Descending = true,
        Cycles = 1,
        Preloads = 2,
        PreloadHoldMicros = 10_000_000,
        ReadZero = true,
        RateOfSpanPerSecond = 0.05,
        Settle = new StabilityCriterion(0.001, 5_000_000, 0.00001, 10_000_000, 120_000_000, TimeoutPolicy.Flag),
        Samples = 5,
        SampleIntervalMicros = 500_000,
        OvershootOfSpan = 0.002,
        OnOvershoot = OvershootPolicy.Again,
    };

    public static readonly ReferenceStandard Reference = new()
    {
        Name = "indicator-16bar",
        Title = "Reference indicator",
        Manufacturer = "Workshop stock",
        Model = "RI-16",
        SerialNumber = "R-16",
        Quantity = StandardQuantity.Pressure,
        CertificateNumber = "K-2026-0318",
        CalibratedBy = "Regional grid laboratory",
        CalibratedOn = new DateOnly(2026, 1, 15),
        DueOn = new DateOnly(2027, 1, 15),
        ExpandedUncertainty = 100,
        ExpandedUncertaintyOfReading = 0.00005,
        CoverageFactor = 2,
        DriftPerYear = 40,
        Corrections = [new CorrectionPoint(0, 0), new CorrectionPoint(800_000, 5)],
    };

    public static readonly JobDefinition Substation = new()
    {
        Name = "substation-4",
        Customer = "Network operations",
        CustomerAddress = "Boiler House Lane 4",
        Order = "NO-2026-0188",
        Device = "return-line-transmitter",
        ReceivedOn = new DateOnly(2026, 3, 20),
        ReceivedBy = "stores",
        Condition = "clean",
        Accessories = string.Empty,
        Method = "P-12",
        Decision = new DecisionAgreement(AgreedRule.KeepAway, 1, DecisionAgreement.UsualRisk, 0),
        AdjustmentAllowed = true,
        DueDateAgreed = false,
    };

    public static StatedPressure Gauge(decimal bar) => new(bar, PressureUnit.Bar, PressureReference.Gauge);

    /// <summary>A sample of which both readings have the same middle.</summary>
    public static Sample Simultaneous(double reference, double indication, long micros = 0, bool isVoid = false) => new(
        new RawReading(reference, Text(reference), micros, micros + 20_000),
        new RawReading(indication, Text(indication), micros, micros + 20_000),
        isVoid);

    /// <summary>Builds a run point by point from the error (share of span) that the device has there.</summary>
    public static RunRecord Run(DeviceDefinition device, Procedure procedure, Func<int, SeriesDirection, double, double> errorOfSpan)
    {
        List<PointRecord> points = [];
        for (int cycle = 1; cycle <= procedure.Cycles; cycle++)
        {
            foreach (SeriesDirection direction in procedure.Descending ? Enum.GetValues<SeriesDirection>() : [SeriesDirection.Ascending])
            {
                foreach (double share in direction == SeriesDirection.Ascending ? procedure.PointsOfSpan : procedure.PointsOfSpan.Reverse())
                    points.Add(Point(device, procedure, points.Count + 1, cycle, direction, share, errorOfSpan(cycle, direction, share)));
            }
        }

        return Around(device, procedure, [Zero(device, true, 0), Zero(device, false, 0.0002)], points);
    }

    public static ZeroRecord Zero(DeviceDefinition device, bool before, double errorOfSpan) =>
        new(before, [Simultaneous(0, OutputFor(device, errorOfSpan))]);

    public static RunRecord Around(DeviceDefinition device, Procedure procedure, IReadOnlyList<ZeroRecord> zeros, IReadOnlyList<PointRecord> points) => new()
    {
        Id = "0198c0de-0000-7000-8000-000000000001",
        StartedUtc = new DateTimeOffset(2026, 3, 29, 0, 59, 59, 250, TimeSpan.Zero),
        EndedUtc = new DateTimeOffset(2026, 3, 29, 1, 12, 0, TimeSpan.Zero),
        Bench = "heating-workshop",
        Device = device,
        Procedure = procedure,
        Instruments = new Dictionary<string, string> { ["source"] = "PRESSURE SOURCE,S-1,17,1.2", ["reference"] = "REFERENCE,R-16,204,3.0" },
        Simulated = true,
        Outcome = RunOutcome.Completed,
        OutcomeReason = string.Empty,
        VentConfirmed = true,
        Zeros = zeros,
        Points = points,
        CeilingPascals = 1_300_000,
        HighestPascals = 1_102_000,
        AtmospherePascals = 101_325,
        JournalHead = "00ff",
        SoftwareVersion = "0.1.0",
    };

    /// <summary>The output (A, V or Pa) of a device that tells x = share of span.</summary>
    public static double OutputFor(DeviceDefinition device, double share) => device.Output == DeviceOutput.Digital
        ? device.FromPascals + (share * device.SpanPascals)
        : device.OutputFrom + (share * (device.OutputTo - device.OutputFrom));

    /// <summary>Random runs: any outcome, marks, voids, raw texts and times, and as many points as it happens.</summary>
    public static Gen<RunRecord> Random { get; } =
        from device in Gen.OneOf(Transmitter, DigitalGauge)
        from outcome in Gen.Enum<RunOutcome>()
        from reason in Gen.String[Gen.Char[' ', '~'], 0, 20]
        from id in Gen.Guid
        from started in Gen.Long[0, 3_000_000_000]
        from zeros in Gen.Select(Gen.Bool, Samples, (before, samples) => new ZeroRecord(before, samples)).List[0, 3]
        from points in Points
        from standards in Standards
        from job in Gen.Null(Gen.Enum<JobStage>().Select(stage => new JobUse(Substation, stage)))
        from leak in Gen.Null(Gen.Select(Gen.Double[0, 1e6], Gen.Double[-50, 50], (pressure, rate) => new LeakTestRecord(pressure, 60_000_000, rate, 20)))
        from environment in Environment
        select Around(device, UpAndDown, zeros, points) with
        {
            Standards = standards,
            Job = job,
            LeakTest = leak,
            Environment = environment,
            Procedure = leak is null ? UpAndDown : UpAndDown with { Confirmation = "fitting tight?", LeakTest = new LeakTest(1, 30_000_000, 60_000_000, 0.001) },
            Id = id.ToString(),
            Outcome = outcome,
            OutcomeReason = reason,
            StartedUtc = DateTimeOffset.UnixEpoch.AddSeconds(started),
        };

    private static Gen<List<StandardUse>> Standards =>
        from role in Gen.OneOf("reference", "multimeter")
        from allowance in Gen.Null(Gen.Const(new OverdueAllowance("shift lead", "spare is away")))
        from corrections in Gen.Select(Gen.Double[-1e6, 1e6], Gen.Double[-10, 10], (at, add) => new CorrectionPoint(at, add)).List[0, 3]
        from uses in Gen.Const(new StandardUse(role, Reference with { Corrections = [.. corrections.DistinctBy(point => point.Indication).OrderBy(point => point.Indication)] }, allowance)).List[0, 1]
        select uses;

    private static Gen<List<EnvironmentReading>> Environment =>
        Gen.Select(Gen.Long[0, 1L << 40], Gen.Nullable(Gen.Double[15, 30]), Gen.Nullable(Gen.Double[0, 1]), Gen.Nullable(Gen.Double[9e4, 1.1e5]),
            (at, temperature, humidity, atmosphere) => new EnvironmentReading(at, temperature, humidity, atmosphere, "HUT-3")).List[0, 3];

    private static Gen<RawReading> Reading =>
        from value in Gen.Double[-1e7, 1e7]
        from raw in Gen.String[Gen.OneOf(Gen.Char[' ', '~'], Gen.OneOf('"', ',', '\r', '\n', '°', '\u0003')), 0, 12]
        from asked in Gen.Long[0, 1L << 40]
        from took in Gen.Long[0, 2_000_000]
        select new RawReading(value, raw, asked, asked + took);

    private static Gen<List<Sample>> Samples =>
        Gen.Select(Reading, Reading, Gen.Bool, (reference, indication, isVoid) => new Sample(reference, indication, isVoid)).List[0, 5];

    private static Gen<List<PointRecord>> Points =>
        Gen.Select(Gen.Int[1, 3], Gen.Enum<SeriesDirection>(), Gen.Double[0, 1e6], Gen.Int[0, 7], Samples)
            .List[0, 6]
            .Select(drawn => drawn
                .Select((one, at) => new PointRecord(at + 1, one.Item1, one.Item2, one.Item3, at, at + 1, at + 2, (PointMarks)one.Item4, one.Item5))
                .ToList());

    private static PointRecord Point(DeviceDefinition device, Procedure procedure, int index, int cycle, SeriesDirection direction, double share, double errorOfSpan)
    {
        double nominal = device.FromPascals + (share * device.SpanPascals);
        long start = index * 60_000_000L;
        Sample[] samples =
        [
            .. Enumerable.Range(0, procedure.Samples).Select(i =>
                Simultaneous(nominal, OutputFor(device, share + errorOfSpan), start + (i * procedure.SampleIntervalMicros))),
        ];
        return new PointRecord(index, cycle, direction, nominal, start - 40_000_000, start - 20_000_000, start, PointMarks.None, samples);
    }

    private static string Text(double value) => value.ToString("E6", System.Globalization.CultureInfo.InvariantCulture);
}
