using Barostep.Evaluation;

namespace Barostep.Certificates;

/// <summary>How a series stands to an adjustment of the item.</summary>
public enum ItemState
{
    /// <summary>No adjustment belongs to this certificate.</summary>
    NotAdjusted,

    /// <summary>Before the adjustment.</summary>
    AsFound,

    /// <summary>After the adjustment.</summary>
    AsLeft,
}

/// <summary>A figure that describes a whole series, by name.</summary>
/// <param name="Text">With its unit.</param>
public sealed record SeriesFigure(string Name, string Text);

/// <summary>The uncertainty budget of one point, so that a reader can add it up again.</summary>
/// <param name="Title">Which point.</param>
/// <param name="Combined">√ of the sum of the squared contributions, with its unit.</param>
public sealed record PointBudget(string Title, IReadOnlyList<BudgetLine> Lines, string Combined);

/// <summary>One contribution to an uncertainty, as printed.</summary>
/// <param name="Distribution">In a word.</param>
/// <param name="StandardUncertainty">With its unit.</param>
/// <param name="Sensitivity">Of the error by this input.</param>
/// <param name="DegreesOfFreedom">∞ where they are infinite.</param>
/// <param name="Contribution">Sensitivity times standard uncertainty, with its unit.</param>
public sealed record BudgetLine(
    string Name, string Distribution, string StandardUncertainty, string Sensitivity, string DegreesOfFreedom, string Contribution);

/// <summary>An instrument of the bench as it identified itself when the run began.</summary>
/// <param name="Port">Its place on the bench.</param>
public sealed record InstrumentTold(string Port, string Identity);

/// <summary>The results of one run.</summary>
/// <param name="Title">What the series is called on the certificate.</param>
/// <param name="StartedUtc">Wall clock at the start of the run.</param>
/// <param name="AtmospherePascals">What gauge values counted from, Pa absolute.</param>
/// <param name="Instruments">By port.</param>
/// <param name="Figures">Largest error, hysteresis, zero shift and the like; only those that are known.</param>
/// <param name="ConformityStatement">Which results, which specification, which rule.</param>
/// <param name="PerformedBy">Null where nobody was named.</param>
/// <param name="Corrections">What was done to the readings before they were compared; empty where nothing was.</param>
/// <param name="Budget">Of the point whose U is largest beside its limit; null where no uncertainty is known.</param>
/// <param name="SoftwareVersion">Of the program that made the run.</param>
/// <param name="RecordHash">SHA-256 of the run's record as <c>run.json</c>, hexadecimal.</param>
/// <param name="JournalHead">Hash of the last journal entry of the run, hexadecimal.</param>
public sealed record CertificateSeries(
    ItemState State,
    string Title,
    string RunId,
    DateTimeOffset StartedUtc,
    DateTimeOffset EndedUtc,
    string Bench,
    CertificateMethod Method,
    double AtmospherePascals,
    IReadOnlyList<InstrumentTold> Instruments,
    IReadOnlyList<CertificatePoint> Points,
    IReadOnlyList<SeriesFigure> Figures,
    Conformity Conformity,
    string ConformityStatement,
    string? PerformedBy,
    IReadOnlyList<SeriesFigure> Corrections,
    PointBudget? Budget,
    string SoftwareVersion,
    string RecordHash,
    string JournalHead);

/// <summary>How the work was done.</summary>
/// <param name="Name">The procedure's name, by which it is found.</param>
/// <param name="Revision">Of the procedure's text; null where none is kept.</param>
/// <param name="Description">Points, series, preloads, waiting and samples, in a sentence.</param>
public sealed record CertificateMethod(string Name, string Title, string? Revision, string Description);
