using Barostep.Configuration;

namespace Barostep.Records;

/// <summary>Reference standards over the years, as they were described whenever a run used them.</summary>
public sealed class StandardRegister
{
    private readonly StoreFile _file;

    internal StandardRegister(StoreFile file) => _file = file;

    /// <summary>Every description of every standard, by name, the newest calibration first.</summary>
    public IReadOnlyList<ReferenceStandard> List() => _file.Read(connection => connection.Rows(
        row => StoredText.Parsed(row.GetString(0), StandardJson.Read),
        "SELECT definition FROM standards ORDER BY name, calibrated_on DESC, id DESC"));

    /// <summary>Ids of the runs that a certificate of a standard stands behind, newest first: who is affected if it was wrong.</summary>
    public IReadOnlyList<string> RunsWith(string certificateNumber) => _file.Read(connection => connection.Rows(
        row => row.GetString(0),
        """
        SELECT DISTINCT runs.id, started_utc FROM standards
        JOIN run_standards ON run_standards.standard = standards.id
        JOIN runs ON runs.number = run_standards.run
        WHERE certificate_number = $1 ORDER BY started_utc DESC, runs.number DESC
        """,
        certificateNumber));
}
