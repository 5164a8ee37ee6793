using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Whether runs can be certified as ordered.</summary>
internal static class CertificateChecks
{
    public static void Check(SqliteConnection connection, CertificateOrder order)
    {
        RunRecord[] runs = [.. order.RunIds.Select(id => Ended(connection, id))];
        if (runs.Length is not (1 or 2))
            throw new RunStoreException("a certificate is of one run, or of one as found and one as left");
        if (runs.Length == 2)
            CheckPair(runs[0], runs[1]);
        if (order.Amends is { } amends)
            CheckAmendment(connection, amends, order.RunIds);
        else
            CheckFirst(connection, order.RunIds);
    }

    private static RunRecord Ended(SqliteConnection connection, string id)
    {
        long run = RunRows.NumberOf(connection, id) ?? throw new RunStoreException($"there is no run {id} to be certified");
        RunRecord record = RunReader.Load(connection, run);
        return record.Outcome == RunOutcome.Completed
            ? record
            : throw new RunStoreException($"run {id} was not completed ({JsonWords.Of(record.Outcome)}); only a completed run is certified");
    }

    private static void CheckPair(RunRecord first, RunRecord second)
    {
        bool belong = first.Job is { Stage: JobStage.AsFound } found && second.Job is { Stage: JobStage.AsLeft } left
            && found.Job.Name == left.Job.Name && DeviceIdentity.Of(first.Device) == DeviceIdentity.Of(second.Device);
        if (!belong)
            throw new RunStoreException($"runs {first.Id} and {second.Id} are not one device as found and as left in one job; certify them one by one");
    }

    private static void CheckAmendment(SqliteConnection connection, Amendment amends, IReadOnlyList<string> runIds)
    {
        if (string.IsNullOrWhiteSpace(amends.Reason))
            throw new RunStoreException($"certificate {amends.Number} is replaced without a reason; say why");
        IssuedCertificate earlier = CertificateRows.Load(connection, amends.Number)
            ?? throw new RunStoreException($"there is no certificate {amends.Number} to be replaced");
        if (earlier.ReplacedBy is { } later)
            throw new RunStoreException($"certificate {amends.Number} was replaced by {later} already; amend that one");
        if (!earlier.RunIds.Intersect(runIds, StringComparer.Ordinal).Any())
            throw new RunStoreException($"certificate {amends.Number} is of other runs; name one of {string.Join(", ", earlier.RunIds)}");
    }

    private static void CheckFirst(SqliteConnection connection, IReadOnlyList<string> runIds)
    {
        foreach (string id in runIds)
        {
            string? valid = connection.Rows(
                row => row.GetString(0),
                """
                SELECT certificates.number FROM certificate_runs
                JOIN certificates ON certificates.sequence = certificate_runs.certificate
                JOIN runs ON runs.number = certificate_runs.run
                WHERE runs.id = $1 ORDER BY sequence DESC LIMIT 1
                """,
                id).FirstOrDefault();
            if (valid is not null)
                throw new RunStoreException($"run {id} has certificate {valid} already; replace that one and say why");
        }
    }
}
