using System.Security.Cryptography;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Certificates;

/// <summary>Makes a certificate from what was measured and what only people know.</summary>
public static class CertificateBuilder
{
    /// <summary>From one run, with nothing adjusted.</summary>
    /// <exception cref="ArgumentException">The details cannot stand on a certificate, or the uncertainties do not fit the points.</exception>
    public static Certificate From(CertifiedRun run, CertificateDetails details) =>
        Build([(run, ItemState.NotAdjusted)], details.AdjustmentNote ?? Wording.NotAdjusted, details);

    /// <summary>From the runs before and after an adjustment.</summary>
    /// <exception cref="ArgumentException">
    /// The runs are of two items, stand in the wrong order, or nobody said what was adjusted between them.
    /// </exception>
    public static Certificate From(CertifiedRun asFound, CertifiedRun asLeft, CertificateDetails details)
    {
        RunRecord before = asFound.Result.Record;
        RunRecord after = asLeft.Result.Record;
        if (before.Device != after.Device)
            throw new ArgumentException($"the run as found is of serial {before.Device.SerialNumber}, the one as left of serial {after.Device.SerialNumber}; name two runs of one device with one definition", nameof(asLeft));
        if (before.StartedUtc >= after.StartedUtc)
            throw new ArgumentException($"the run as left, {after.Id}, started before the one as found, {before.Id}; name them the other way round", nameof(asLeft));
        if (details.AdjustmentNote is null)
            throw new ArgumentException("there is a run as found and one as left, but no note says what was adjusted between them; write one", nameof(details));
        return Build([(asFound, ItemState.AsFound), (asLeft, ItemState.AsLeft)], details.AdjustmentNote, details);
    }

    private static Certificate Build(IReadOnlyList<(CertifiedRun Run, ItemState State)> runs, string adjustmentNote, CertificateDetails details)
    {
        DetailsCheck.Refuse(details);
        RunRecord first = runs[0].Run.Result.Record;
        RunRecord last = runs[^1].Run.Result.Record;
        Certificate certificate = new()
        {
            Title = details.Title,
            Number = details.Number,
            Laboratory = details.Laboratory,
            PlaceOfWork = details.PlaceOfWork,
            Customer = details.Customer,
            OrderNumber = details.OrderNumber,
            Item = ItemOf(first.Device, details.Condition),
            Received = details.Received,
            PerformedFrom = DayOf(first.StartedUtc),
            PerformedTo = DayOf(last.EndedUtc),
            Issued = details.Authorisation?.Date,
            Conditions = details.Conditions,
            Standards = details.Standards,
            Series = [.. runs.Select(run => SeriesOf(run.Run, run.State, details))],
            AdjustmentNote = adjustmentNote,
            UncertaintyStatement = UncertaintyOf(runs, details),
            DecisionRule = details.DecisionRule,
            Conformity = runs[^1].Run.Result.Conformity,
            Deviations = details.Deviations.Count > 0 ? details.Deviations : [Wording.NoDeviations],
            SuppliedByCustomer = details.SuppliedByCustomer,
            ItemOnlyStatement = Wording.ItemOnly,
            Authorisation = details.Authorisation,
            ReproductionNote = Wording.Reproduction,
            SoftwareVersion = details.SoftwareVersion,
            Simulated = runs.Any(run => run.Run.Result.Record.Simulated),
            Caution = Wording.Caution,
            Amendment = details.Amendment,
            DraftReasons = [],
        };
        return certificate with { DraftReasons = DraftCheck.Of(certificate) };
    }

    private static CertificateItem ItemOf(DeviceDefinition device, string condition) => new(
        device.Title,
        device.Manufacturer,
        device.Model,
        device.SerialNumber,
        device.Tag.Length == 0 ? null : device.Tag,
        Wording.Range(device),
        Wording.Output(device),
        Wording.Tolerance(device),
        condition,
        device.Unit.Symbol,
        device.Reference,
        device.SpanPascals,
        device.Output,
        Rounding.OutputUnit(device.Output));

    private static CertificateSeries SeriesOf(CertifiedRun run, ItemState state, CertificateDetails details)
    {
        RunResult result = run.Result;
        RunRecord record = result.Record;
        if (run.Uncertainties is { } stated && stated.Count != result.Points.Count)
            throw new ArgumentException($"run {record.Id} has {result.Points.Count} points, but {stated.Count} uncertainties are stated; give one for each point, or none", nameof(run));
        foreach (StatedUncertainty one in (run.Uncertainties ?? []).OfType<StatedUncertainty>())
            DetailsCheck.Refuse(one);
        return new CertificateSeries(
            state,
            Wording.Title(state),
            record.Id,
            record.StartedUtc,
            record.EndedUtc,
            record.Bench,
            new CertificateMethod(record.Procedure.Name, record.Procedure.Title, details.MethodRevision, MethodOf(record)),
            record.AtmospherePascals,
            [.. record.Instruments.OrderBy(pair => pair.Key, StringComparer.Ordinal).Select(pair => new InstrumentTold(pair.Key, pair.Value))],
            [.. result.Points.Select((point, at) => PointOf(result, point, run.Uncertainties?[at]))],
            SeriesFigures.Of(result),
            result.Conformity,
            Wording.Statement(result, details.DecisionRule),
            record.PerformedBy.Length == 0 ? null : record.PerformedBy,
            [.. result.Corrections.Applied.Select(correction => new SeriesFigure(correction.Name, correction.Text))],
            BudgetText.Largest(result),
            record.SoftwareVersion,
            HashOf(result),
            record.JournalHead);
    }

    private static string MethodOf(RunRecord record) => record is { Device.Contact: not null, Procedure.SwitchTest: { } test }
        ? Wording.Method(test, record.Device.SpanPascals, record.Device.Unit)
        : Wording.Method(record.Procedure);

    private static CertificatePoint PointOf(RunResult result, PointResult point, StatedUncertainty? uncertainty)
    {
        // Where no reading counts there is no error, so there is nothing whose uncertainty could be stated.
        StatedUncertainty? ofPoint = point.Values is null ? null : uncertainty;
        return new CertificatePoint(
            point.Index,
            point.Cycle,
            point.Direction,
            point.NominalPascals,
            point.Values?.ReferencePascals,
            point.Values?.IndicationPascals,
            point.Values?.Output,
            point.Values?.ErrorPascals,
            point.LimitOfSpan * result.Record.Device.SpanPascals,
            ofPoint,
            point.Conformity,
            point.Decision?.Zone,
            Wording.Remarks(point),
            Rounding.Of(result.Record.Device, point, ofPoint));
    }

    private static string UncertaintyOf(IReadOnlyList<(CertifiedRun Run, ItemState State)> runs, CertificateDetails details)
    {
        if (runs.Any(run => run.Run.Uncertainties is null))
            return Wording.NoUncertainty;
        double[] probabilities = [.. runs.SelectMany(run => run.Run.Uncertainties!).OfType<StatedUncertainty>().Select(one => one.Probability).Distinct().Order()];
        string covered = string.Join(" or ", probabilities.Select(share => $"{Wording.Short(share * 100)} %"));
        string method = details.UncertaintyMethod is null ? string.Empty : $" {details.UncertaintyMethod}";
        return "U is the expanded uncertainty of the error of indication: the standard uncertainty multiplied by the coverage factor k, "
            + $"so that the interval E ± U covers the value with a probability of about {covered}. It says nothing of long-term change.{method}";
    }

    private static DateOnly DayOf(DateTimeOffset moment) => DateOnly.FromDateTime(moment.UtcDateTime);

    private static string HashOf(RunResult result)
    {
        using MemoryStream bytes = new();
        RunJson.Write(bytes, result);
        return Convert.ToHexStringLower(SHA256.HashData(bytes.ToArray()));
    }
}
