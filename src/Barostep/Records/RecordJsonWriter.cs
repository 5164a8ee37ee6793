using System.Globalization;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Records;

/// <summary>Writes records as JSON, member by member, so that the order is the one in this file.</summary>
internal static class RecordJsonWriter
{
    public static void Record(Utf8JsonWriter json, RunRecord record)
    {
        json.WriteStartObject();
        json.WriteString("id", record.Id);
        json.WriteString("startedUtc", Moment(record.StartedUtc));
        json.WriteString("endedUtc", Moment(record.EndedUtc));
        json.WriteString("bench", record.Bench);
        json.WriteBoolean("simulated", record.Simulated);
        json.WriteString("performedBy", record.PerformedBy);
        json.WriteString("softwareVersion", record.SoftwareVersion);
        json.WriteString("outcome", JsonWords.Of(record.Outcome));
        json.WriteString("outcomeReason", record.OutcomeReason);
        json.WriteBoolean("ventConfirmed", record.VentConfirmed);
        json.WriteNumber("ceilingPascals", record.CeilingPascals);
        json.WriteNumber("highestPascals", record.HighestPascals);
        json.WriteNumber("atmospherePascals", record.AtmospherePascals);
        json.WriteString("journalHead", record.JournalHead);
        json.WritePropertyName("instruments");
        Instruments(json, record.Instruments);
        json.WritePropertyName("device");
        Device(json, record.Device);
        json.WritePropertyName("procedure");
        Procedure(json, record.Procedure);
        LeakTest(json, record.LeakTest);
        Array(json, "standards", record.Standards, StandardJson.WriteUse);
        json.WritePropertyName("job");
        JobJson.WriteUse(json, record.Job);
        json.WritePropertyName("arrangement");
        ArrangementJson.Write(json, record.Arrangement);
        Array(json, "environment", record.Environment, Environment);
        Array(json, "zeros", record.Zeros, Zero);
        Array(json, "points", record.Points, Point);
        if (record.Answers.Count > 0)
            Array(json, "answers", record.Answers, AnswerJson.Write);
        json.WriteEndObject();
    }

    public static void Instruments(Utf8JsonWriter json, IReadOnlyDictionary<string, string> instruments)
    {
        json.WriteStartObject();
        foreach ((string role, string identity) in instruments.OrderBy(pair => pair.Key, StringComparer.Ordinal))
            json.WriteString(role, identity);
        json.WriteEndObject();
    }

    public static void Device(Utf8JsonWriter json, DeviceDefinition device)
    {
        json.WriteStartObject();
        json.WriteString("name", device.Name);
        json.WriteString("title", device.Title);
        json.WriteString("manufacturer", device.Manufacturer);
        json.WriteString("model", device.Model);
        json.WriteString("serialNumber", device.SerialNumber);
        json.WriteString("tag", device.Tag);
        Pressure(json, "rangeFrom", device.RangeFrom);
        Pressure(json, "rangeTo", device.RangeTo);
        Pressure(json, "rating", device.Rating);
        Pressure(json, "floor", device.Floor);
        json.WriteNumber("toleranceOfSpan", device.ToleranceOfSpan);
        json.WriteString("output", JsonWords.Of(device.Output));
        json.WriteNumber("outputFrom", device.OutputFrom);
        json.WriteNumber("outputTo", device.OutputTo);
        TransferJson.Write(json, "transfer", device.Transfer);
        Contact(json, device.Contact);
        Number(json, "accuracyClass", device.AccuracyClass?.PercentOfSpan);
        json.WriteString("grade", device.Grade?.Name);
        json.WriteNumber("resolutionPascals", device.ResolutionPascals);
        json.WriteNumber("temperatureOfSpanPerKelvin", device.TemperatureOfSpanPerKelvin);
        if (device.Dial is { } dial)
        {
            json.WriteStartObject("dial");
            json.WriteNumber("divisionPascals", dial.DivisionPascals);
            json.WriteNumber("partsOfDivision", dial.PartsOfDivision);
            json.WriteEndObject();
        }

        DecisionJson.Write(json, device.Decision);
        json.WriteEndObject();
    }

    /// <summary>Only pressure switches have one.</summary>
    private static void Contact(Utf8JsonWriter json, SwitchContact? contact)
    {
        if (contact is null)
            return;
        json.WriteStartObject("contact");
        Pressure(json, "switchesAt", contact.SwitchesAt);
        Pressure(json, "resetsAt", contact.ResetsAt);
        json.WriteBoolean("closesWhenTripped", contact.ClosesWhenTripped);
        json.WriteString("reading", JsonWords.Of(contact.Reading));
        json.WriteNumber("threshold", contact.Threshold);
        json.WriteEndObject();
    }

    public static void Procedure(Utf8JsonWriter json, Procedure procedure)
    {
        json.WriteStartObject();
        json.WriteString("name", procedure.Name);
        json.WriteString("title", procedure.Title);
        json.WriteString("confirmation", procedure.Confirmation);
        if (procedure.LeakTest is { } leak)
        {
            json.WriteStartObject("leakTest");
            json.WriteNumber("pressureOfSpan", leak.PressureOfSpan);
            json.WriteNumber("settleMicros", leak.SettleMicros);
            json.WriteNumber("holdMicros", leak.HoldMicros);
            json.WriteNumber("limitOfSpanPerMinute", leak.LimitOfSpanPerMinute);
            json.WriteEndObject();
        }
        else
        {
            json.WriteNull("leakTest");
        }

        Array(json, "pointsOfSpan", procedure.PointsOfSpan, (to, share) => to.WriteNumberValue(share));
        json.WriteBoolean("descending", procedure.Descending);
        json.WriteNumber("cycles", procedure.Cycles);
        FurtherSeries(json, procedure);
        json.WriteNumber("preloads", procedure.Preloads);
        json.WriteNumber("preloadHoldMicros", procedure.PreloadHoldMicros);
        json.WriteBoolean("readZero", procedure.ReadZero);
        json.WriteNumber("rateOfSpanPerSecond", procedure.RateOfSpanPerSecond);
        json.WriteStartObject("settle");
        json.WriteNumber("bandOfSpan", procedure.Settle.BandOfSpan);
        json.WriteNumber("windowMicros", procedure.Settle.WindowMicros);
        json.WriteNumber("slopeOfSpanPerSecond", procedure.Settle.SlopeOfSpanPerSecond);
        json.WriteNumber("minimumDwellMicros", procedure.Settle.MinimumDwellMicros);
        json.WriteNumber("timeoutMicros", procedure.Settle.TimeoutMicros);
        json.WriteString("onTimeout", JsonWords.Of(procedure.Settle.OnTimeout));
        Number(json, "restOfTolerance", procedure.Settle.Rest?.ShareOfTolerance);
        Number(json, "restCoverageFactor", procedure.Settle.Rest?.CoverageFactor);
        json.WriteEndObject();
        json.WriteNumber("samples", procedure.Samples);
        json.WriteNumber("sampleIntervalMicros", procedure.SampleIntervalMicros);
        json.WriteNumber("overshootOfSpan", procedure.OvershootOfSpan);
        json.WriteString("onOvershoot", JsonWords.Of(procedure.OnOvershoot));
        json.WriteEndObject();
    }

    /// <summary>What only some procedures have; a record without it means that there is none of it.</summary>
    private static void FurtherSeries(Utf8JsonWriter json, Procedure procedure)
    {
        if (procedure.LastCycleRisesOnly)
            json.WriteBoolean("lastCycleRisesOnly", true);
        if (procedure.RemountBeforeCycle > 0)
        {
            json.WriteNumber("remountBeforeCycle", procedure.RemountBeforeCycle);
            json.WriteNumber("remountPreloads", procedure.RemountPreloads);
        }

        if (procedure.Repeats > 0)
        {
            Array(json, "repeatPointsOfSpan", procedure.RepeatPointsOfSpan, (to, share) => to.WriteNumberValue(share));
            json.WriteNumber("repeats", procedure.Repeats);
        }

        if (procedure.Pointer != PointerMethod.Read)
            json.WriteString("pointer", JsonWords.Of(procedure.Pointer));
        if (procedure.TopHoldMicros > 0)
            json.WriteNumber("topHoldMicros", procedure.TopHoldMicros);
        if (procedure.SwitchTest is { } test)
        {
            json.WriteStartObject("switchTest");
            json.WriteNumber("rateOfSpanPerSecond", test.RateOfSpanPerSecond);
            json.WriteNumber("repeats", test.Repeats);
            json.WriteNumber("marginOfSpan", test.MarginOfSpan);
            json.WriteEndObject();
        }
    }

    public static void Array<T>(Utf8JsonWriter json, string name, IEnumerable<T> items, Action<Utf8JsonWriter, T> write)
    {
        json.WriteStartArray(name);
        foreach (T item in items)
            write(json, item);
        json.WriteEndArray();
    }

    /// <summary>A moment in UTC with as many decimals as it has, and a Z.</summary>
    public static string Moment(DateTimeOffset moment) =>
        moment.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss.FFFFFFF'Z'", CultureInfo.InvariantCulture);

    public static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    public static void Number(Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } number)
            json.WriteNumber(name, number);
        else
            json.WriteNull(name);
    }

    private static void LeakTest(Utf8JsonWriter json, LeakTestRecord? test)
    {
        if (test is null)
        {
            json.WriteNull("leakTest");
            return;
        }

        json.WriteStartObject("leakTest");
        json.WriteNumber("pressurePascals", test.PressurePascals);
        json.WriteNumber("holdMicros", test.HoldMicros);
        json.WriteNumber("ratePascalsPerSecond", test.RatePascalsPerSecond);
        json.WriteNumber("limitPascalsPerSecond", test.LimitPascalsPerSecond);
        if (test.Thermal is { } thermal)
        {
            json.WriteStartObject("thermal");
            json.WriteNumber("pascals", thermal.Pascals);
            json.WriteNumber("timeConstantSeconds", thermal.TimeConstantSeconds);
            json.WriteNumber("rateUncertainty", thermal.RateUncertainty);
            json.WriteEndObject();
        }
        else
        {
            json.WriteNull("thermal");
        }

        json.WriteEndObject();
    }

    private static void Environment(Utf8JsonWriter json, EnvironmentReading reading)
    {
        json.WriteStartObject();
        json.WriteNumber("atMicros", reading.AtMicros);
        Number(json, "temperatureCelsius", reading.TemperatureCelsius);
        Number(json, "relativeHumidity", reading.RelativeHumidity);
        Number(json, "atmospherePascals", reading.AtmospherePascals);
        json.WriteString("instrument", reading.Instrument);
        json.WriteEndObject();
    }

    private static void Zero(Utf8JsonWriter json, ZeroRecord zero)
    {
        json.WriteStartObject();
        json.WriteBoolean("beforeSeries", zero.BeforeSeries);
        Array(json, "samples", zero.Samples, Sample);
        json.WriteEndObject();
    }

    private static void Point(Utf8JsonWriter json, PointRecord point)
    {
        json.WriteStartObject();
        json.WriteNumber("index", point.Index);
        json.WriteNumber("cycle", point.Cycle);
        json.WriteString("direction", JsonWords.Of(point.Direction));
        json.WriteNumber("nominalPascals", point.NominalPascals);
        json.WriteNumber("requestedMicros", point.RequestedMicros);
        json.WriteNumber("reachedMicros", point.ReachedMicros);
        json.WriteNumber("settledMicros", point.SettledMicros);
        Array(json, "marks", JsonWords.OfEach(point.Marks), (to, mark) => to.WriteStringValue(mark));
        Array(json, "samples", point.Samples, Sample);
        json.WritePropertyName("settling");
        SettlingJson.Write(json, point.Settling);
        json.WriteEndObject();
    }

    private static void Sample(Utf8JsonWriter json, Sample sample)
    {
        json.WriteStartObject();
        Reading(json, "reference", sample.Reference);
        Reading(json, "indication", sample.Indication);
        json.WriteBoolean("void", sample.Void);
        json.WriteEndObject();
    }

    private static void Reading(Utf8JsonWriter json, string name, RawReading reading)
    {
        json.WriteStartObject(name);
        json.WriteNumber("value", reading.Value);
        json.WriteString("raw", reading.Raw);
        json.WriteNumber("askedMicros", reading.AskedMicros);
        json.WriteNumber("answeredMicros", reading.AnsweredMicros);
        json.WriteEndObject();
    }

    private static void Pressure(Utf8JsonWriter json, string name, StatedPressure pressure)
    {
        json.WriteStartObject(name);
        json.WriteNumber("value", pressure.Value);
        json.WriteString("unit", pressure.Unit.Symbol);
        json.WriteString("reference", JsonWords.Of(pressure.Reference));
        json.WriteEndObject();
    }
}
