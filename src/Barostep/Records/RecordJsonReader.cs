using Barostep.Configuration;
using Barostep.Evaluation.Devices;
using Barostep.Procedures;
using Barostep.Procedures.Settling;

namespace Barostep.Records;

/// <summary>Reads what <see cref="RecordJsonWriter"/> wrote; members of a later version may be missing.</summary>
internal static class RecordJsonReader
{
    public static RunRecord Record(JsonPlace json) => new()
    {
        Id = json.Member("id").Text(),
        StartedUtc = json.Member("startedUtc").Moment(),
        EndedUtc = json.Member("endedUtc").Moment(),
        Bench = json.Member("bench").Text(),
        Simulated = json.Member("simulated").Flag(),
        PerformedBy = json.MemberIfAny("performedBy")?.Text() ?? string.Empty,
        Arrangement = json.MemberIfAny("arrangement") is { } arrangement ? ArrangementJson.Read(arrangement) : MeasuringArrangement.Unknown,
        SoftwareVersion = json.Member("softwareVersion").Text(),
        Outcome = json.Member("outcome").Word<RunOutcome>(),
        OutcomeReason = json.Member("outcomeReason").Text(),
        VentConfirmed = json.Member("ventConfirmed").Flag(),
        CeilingPascals = json.Member("ceilingPascals").Number(),
        HighestPascals = json.Member("highestPascals").Number(),
        AtmospherePascals = json.Member("atmospherePascals").Number(),
        JournalHead = json.Member("journalHead").Text(),
        Instruments = Instruments(json.Member("instruments")),
        Device = Device(json.Member("device")),
        Procedure = Procedure(json.Member("procedure")),
        LeakTest = json.MemberIfAny("leakTest") is { } leak ? LeakTest(leak) : null,
        Standards = json.MemberIfAny("standards") is { } standards ? [.. standards.Items().Select(StandardJson.ReadUse)] : [],
        Job = json.MemberIfAny("job") is { } job ? JobJson.ReadUse(job) : null,
        Environment = json.MemberIfAny("environment") is { } told ? [.. told.Items().Select(Environment)] : [],
        Zeros = [.. json.Member("zeros").Items().Select(Zero)],
        Points = [.. json.Member("points").Items().Select(Point)],
        Answers = json.MemberIfAny("answers") is { } answers ? [.. answers.Items().Select(AnswerJson.Read)] : [],
    };

    public static IReadOnlyDictionary<string, string> Instruments(JsonPlace json) =>
        json.Members().ToDictionary(member => member.Key, member => member.Value.Text(), StringComparer.Ordinal);

    public static DeviceDefinition Device(JsonPlace json) => new()
    {
        Name = json.Member("name").Text(),
        Title = json.Member("title").Text(),
        Manufacturer = json.Member("manufacturer").Text(),
        Model = json.Member("model").Text(),
        SerialNumber = json.Member("serialNumber").Text(),
        Tag = json.Member("tag").Text(),
        RangeFrom = json.Member("rangeFrom").Pressure(),
        RangeTo = json.Member("rangeTo").Pressure(),
        Rating = json.Member("rating").Pressure(),
        Floor = json.Member("floor").Pressure(),
        ToleranceOfSpan = json.Member("toleranceOfSpan").Number(),
        Output = json.Member("output").Word<DeviceOutput>(),
        OutputFrom = json.Member("outputFrom").Number(),
        OutputTo = json.Member("outputTo").Number(),
        Transfer = TransferJson.Read(json.MemberIfAny("transfer")),
        Contact = json.MemberIfAny("contact") is { } contact
            ? new SwitchContact(
                contact.Member("switchesAt").Pressure(), contact.Member("resetsAt").Pressure(), contact.Member("closesWhenTripped").Flag(),
                contact.Member("reading").Word<ContactReading>(), contact.Member("threshold").Number())
            : null,
        AccuracyClass = json.MemberIfAny("accuracyClass") is { } percent ? DialGaugeClass.Find(percent.Number()) : null,
        Grade = json.MemberIfAny("grade") is { } grade ? AsmeGrade.Find(grade.Text()) : null,
        ResolutionPascals = json.MemberIfAny("resolutionPascals")?.Number() ?? 0,
        TemperatureOfSpanPerKelvin = json.MemberIfAny("temperatureOfSpanPerKelvin")?.Number() ?? 0,
        Dial = json.MemberIfAny("dial") is { } dial
            ? new DialScale((decimal)dial.Member("divisionPascals").Number(), dial.Member("partsOfDivision").Count())
            : null,
        Decision = DecisionJson.Read(json),
    };

    public static Procedure Procedure(JsonPlace json)
    {
        JsonPlace settle = json.Member("settle");
        return new Procedure
        {
            Name = json.Member("name").Text(),
            Title = json.Member("title").Text(),
            Confirmation = json.MemberIfAny("confirmation")?.Text(),
            LeakTest = json.MemberIfAny("leakTest") is { } leak ? LeakTestOf(leak) : null,
            PointsOfSpan = [.. json.Member("pointsOfSpan").Items().Select(share => share.Number())],
            Descending = json.Member("descending").Flag(),
            Cycles = json.Member("cycles").Count(),
            LastCycleRisesOnly = json.MemberIfAny("lastCycleRisesOnly")?.Flag() ?? false,
            RemountBeforeCycle = json.MemberIfAny("remountBeforeCycle")?.Count() ?? 0,
            RemountPreloads = json.MemberIfAny("remountPreloads")?.Count() ?? 0,
            RepeatPointsOfSpan = [.. json.MemberIfAny("repeatPointsOfSpan")?.Items().Select(share => share.Number()) ?? []],
            Repeats = json.MemberIfAny("repeats")?.Count() ?? 0,
            TopHoldMicros = json.MemberIfAny("topHoldMicros")?.Whole() ?? 0,
            SwitchTest = json.MemberIfAny("switchTest") is { } test
                ? new SwitchTest(test.Member("rateOfSpanPerSecond").Number(), test.Member("repeats").Count(), test.Member("marginOfSpan").Number())
                : null,
            Preloads = json.Member("preloads").Count(),
            PreloadHoldMicros = json.Member("preloadHoldMicros").Whole(),
            ReadZero = json.Member("readZero").Flag(),
            RateOfSpanPerSecond = json.Member("rateOfSpanPerSecond").Number(),
            Settle = new StabilityCriterion(
                settle.Member("bandOfSpan").Number(),
                settle.Member("windowMicros").Whole(),
                settle.Member("slopeOfSpanPerSecond").Number(),
                settle.Member("minimumDwellMicros").Whole(),
                settle.Member("timeoutMicros").Whole(),
                settle.Member("onTimeout").Word<TimeoutPolicy>(),
                settle.MemberIfAny("restOfTolerance") is { } rest ? new PredictedRest(rest.Number(), settle.Member("restCoverageFactor").Number()) : null),
            Samples = json.Member("samples").Count(),
            SampleIntervalMicros = json.Member("sampleIntervalMicros").Whole(),
            OvershootOfSpan = json.Member("overshootOfSpan").Number(),
            OnOvershoot = json.Member("onOvershoot").Word<OvershootPolicy>(),
            Pointer = json.MemberIfAny("pointer")?.Word<PointerMethod>() ?? PointerMethod.Read,
        };
    }

    private static LeakTest LeakTestOf(JsonPlace json) => new(
        json.Member("pressureOfSpan").Number(),
        json.Member("settleMicros").Whole(),
        json.Member("holdMicros").Whole(),
        json.Member("limitOfSpanPerMinute").Number());

    private static LeakTestRecord LeakTest(JsonPlace json) => new(
        json.Member("pressurePascals").Number(),
        json.Member("holdMicros").Whole(),
        json.Member("ratePascalsPerSecond").Number(),
        json.Member("limitPascalsPerSecond").Number())
    {
        Thermal = json.MemberIfAny("thermal") is { } thermal
            ? new ThermalPart(
                thermal.Member("pascals").Number(), thermal.Member("timeConstantSeconds").Number(), thermal.Member("rateUncertainty").Number())
            : null,
    };

    private static EnvironmentReading Environment(JsonPlace json) => new(
        json.Member("atMicros").Whole(),
        json.MemberIfAny("temperatureCelsius")?.Number(),
        json.MemberIfAny("relativeHumidity")?.Number(),
        json.MemberIfAny("atmospherePascals")?.Number(),
        json.Member("instrument").Text());

    private static ZeroRecord Zero(JsonPlace json) => new(
        json.Member("beforeSeries").Flag(),
        [.. json.Member("samples").Items().Select(Sample)]);

    private static PointRecord Point(JsonPlace json) => new(
        json.Member("index").Count(),
        json.Member("cycle").Count(),
        json.Member("direction").Word<SeriesDirection>(),
        json.Member("nominalPascals").Number(),
        json.Member("requestedMicros").Whole(),
        json.Member("reachedMicros").Whole(),
        json.Member("settledMicros").Whole(),
        json.Member("marks").Items().Aggregate(PointMarks.None, (marks, mark) => marks | mark.Word<PointMarks>()),
        [.. json.Member("samples").Items().Select(Sample)])
    {
        Settling = json.MemberIfAny("settling") is { } settling ? SettlingJson.Read(settling) : null,
    };

    private static Sample Sample(JsonPlace json) => new(
        Reading(json.Member("reference")),
        Reading(json.Member("indication")),
        json.Member("void").Flag());

    private static RawReading Reading(JsonPlace json) => new(
        json.Member("value").Number(),
        json.Member("raw").Text(),
        json.Member("askedMicros").Whole(),
        json.Member("answeredMicros").Whole());
}
