using Barostep.Configuration;
using Barostep.Evaluation;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>What tells one device from every other over the years, whatever its file is called.</summary>
public sealed record DeviceIdentity(string Manufacturer, string Model, string SerialNumber)
{
    public static DeviceIdentity Of(DeviceDefinition device) => new(device.Manufacturer, device.Model, device.SerialNumber);

    public override string ToString() => $"{Manufacturer} {Model} {SerialNumber}";
}

/// <summary>When a device is to be calibrated next, as the workshop decided; it goes on no certificate by itself.</summary>
public sealed record DeviceDue(DateOnly On, DateTimeOffset SetUtc, string SetBy, string Reason);

/// <summary>One line of a list of devices.</summary>
/// <param name="Definition">The newest that a run was made with.</param>
/// <param name="Runs">How many there are.</param>
/// <param name="LastRunUtc">When the newest began.</param>
/// <param name="LastConformity">As told when that ended.</param>
/// <param name="Due">Null where none was set.</param>
public sealed record DeviceSummary(DeviceDefinition Definition, int Runs, DateTimeOffset LastRunUtc, Conformity LastConformity, DeviceDue? Due)
{
    public DeviceIdentity Identity => DeviceIdentity.Of(Definition);
}

/// <summary>Devices under test over the years: who they are, and when they are due.</summary>
public sealed class DeviceRegister
{
    private readonly StoreFile _file;

    internal DeviceRegister(StoreFile file) => _file = file;

    /// <summary>Every device of which there is a run, by manufacturer, model and serial number.</summary>
    public IReadOnlyList<DeviceSummary> List() => _file.Read(connection => connection
        .Rows(Identity, "SELECT DISTINCT manufacturer, model, serial_number FROM devices ORDER BY 1, 2, 3")
        .ConvertAll(device => Summary(connection, device)));

    /// <summary>The devices that go by a name, tag or serial number in any of their definitions.</summary>
    public IReadOnlyList<DeviceIdentity> Named(string name) => _file.Read(connection => connection.Rows(
        Identity,
        """
        SELECT DISTINCT manufacturer, model, serial_number FROM devices
        WHERE serial_number = $1 OR definition ->> 'name' = $1 OR definition ->> 'tag' = $1
        ORDER BY 1, 2, 3
        """,
        name));

    /// <summary>Sets when a device is due next. Earlier dates are kept.</summary>
    /// <exception cref="RunStoreException">There is no run of that device.</exception>
    public void SetDue(DeviceIdentity device, DeviceDue due) => _file.Write($"the due date of {device}", connection =>
    {
        if (connection.Number("SELECT count(*) FROM devices WHERE manufacturer = $1 AND model = $2 AND serial_number = $3",
            device.Manufacturer, device.Model, device.SerialNumber) == 0)
        {
            throw new RunStoreException($"there is no run of {device}; calibrate it first");
        }

        connection.Execute(
            """
            INSERT INTO due_dates (manufacturer, model, serial_number, due_on, set_utc, set_by, reason)
            VALUES ($1, $2, $3, $4, $5, $6, $7)
            """,
            device.Manufacturer, device.Model, device.SerialNumber,
            RecordJsonWriter.Day(due.On), RecordJsonWriter.Moment(due.SetUtc), due.SetBy, due.Reason);
    });

    /// <summary>Every due date that was ever set, newest first; the first one holds.</summary>
    public IReadOnlyList<DeviceDue> DueDates(DeviceIdentity device) => _file.Read(connection => DueDates(connection, device));

    private static DeviceSummary Summary(SqliteConnection connection, DeviceIdentity device)
    {
        const string OfIdentity = "device IN (SELECT id FROM devices WHERE manufacturer = $1 AND model = $2 AND serial_number = $3)";
        object[] values = [device.Manufacturer, device.Model, device.SerialNumber];
        int runs = (int)connection.Number($"SELECT count(*) FROM runs WHERE {OfIdentity}", values);
        return connection.Rows(
            row => new DeviceSummary(
                StoredText.Parsed(row.GetString(0), RecordJsonReader.Device),
                runs,
                StoredText.Moment(row.GetString(1)),
                row.IsDBNull(2) ? Conformity.NotDecided : StoredText.Word<Conformity>(row.GetString(2)),
                DueDates(connection, device).FirstOrDefault()),
            $"""
            SELECT devices.definition, started_utc, results.verdict
            FROM runs JOIN devices ON devices.id = runs.device LEFT JOIN results ON results.run = runs.number
            WHERE {OfIdentity} ORDER BY started_utc DESC, number DESC LIMIT 1
            """,
            values)[0];
    }

    private static List<DeviceDue> DueDates(SqliteConnection connection, DeviceIdentity device) => connection.Rows(
        row => new DeviceDue(StoredText.Day(row.GetString(0)), StoredText.Moment(row.GetString(1)), row.GetString(2), row.GetString(3)),
        """
        SELECT due_on, set_utc, set_by, reason FROM due_dates
        WHERE manufacturer = $1 AND model = $2 AND serial_number = $3 ORDER BY id DESC
        """,
        device.Manufacturer, device.Model, device.SerialNumber);

    private static DeviceIdentity Identity(SqliteDataReader row) => new(row.GetString(0), row.GetString(1), row.GetString(2));
}
