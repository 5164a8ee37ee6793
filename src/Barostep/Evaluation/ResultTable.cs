using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Evaluation;

/// <summary>The result as a text table for people, at most 100 columns wide, without colours.</summary>
public sealed class ResultTable(TextWriter writer, DeviceDefinition device)
{
    /// <summary>Title, head, all rows and the closing lines.</summary>
    public static void Write(TextWriter writer, RunResult result)
    {
        ResultTable table = new(writer, result.Record.Device);
        table.WriteTitle(result.Record);
        table.WriteHead();
        foreach (PointResult point in result.Points)
            table.WriteRow(point);
        table.WriteClosing(result);
    }

    /// <summary>Device, range, bench and the note that a run was simulated.</summary>
    public void WriteTitle(RunRecord record) => writer.WriteLine(record.Device.Title);

    public void WriteHead() => writer.WriteLine(device.Unit.Symbol);

    /// <summary>One point; hysteresis is blank where it is not known yet.</summary>
    public void WriteRow(PointResult point) => writer.WriteLine(point.Index);

    /// <summary>Largest error, hysteresis, repeatability, zero, fitted line and the verdict in words.</summary>
    public void WriteClosing(RunResult result) => writer.WriteLine(result.Conformity);
}
