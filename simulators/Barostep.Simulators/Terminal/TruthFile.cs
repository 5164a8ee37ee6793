using System.Collections.Concurrent;
using System.Globalization;

namespace Barostep.Simulators.Terminal;

/// <summary>The true state as CSV; every row is written through, so that a killed bench leaves all but the newest few.</summary>
/// <remarks>On a thread of its own: a disk that is busy for a second must not stop the gas for a second.</remarks>
internal sealed class TruthFile : IDisposable
{
    private readonly StreamWriter _writer;
    private readonly BlockingCollection<TrueState> _rows = [];
    private readonly Thread _thread;

    /// <exception cref="IOException">The file cannot be made.</exception>
    public TruthFile(string path)
    {
        try
        {
            _writer = new StreamWriter(path) { AutoFlush = true, NewLine = "\n" };
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new IOException($"--truth {path}: the file cannot be made ({e.Message}): write a path that can be written to");
        }

        _writer.WriteLine("t_s,pressure_pa_abs,gas_temperature_k,wall_temperature_k,mass_kg,fill_opening,vent_opening,vacuum_opening,dump_opening,atmosphere_pa,supply_pa,transmitter_a");
        _thread = new Thread(WriteRows) { IsBackground = true, Name = "truth" };
        _thread.Start();
    }

    public void Write(TrueState state) => _rows.Add(state);

    public void Dispose()
    {
        _rows.CompleteAdding();
        _thread.Join();
        _rows.Dispose();
        _writer.Dispose();
    }

    private void WriteRows()
    {
        foreach (TrueState state in _rows.GetConsumingEnumerable())
            WriteRow(state);
    }

    private void WriteRow(TrueState s) => _writer.WriteLine(string.Create(
        CultureInfo.InvariantCulture,
        $"{s.TimeMicros * 1e-6:0.000},{s.PressurePa:0.000},{s.GasTemperatureK:0.0000},{s.WallTemperatureK:0.0000},{s.MassKg:0.000000000},{s.FillOpening:0.00000},{s.VentOpening:0.00000},{s.VacuumOpening:0.00000},{s.DumpOpening:0.00000},{s.AtmospherePa:0.0},{s.SupplyPa:0.0},{s.TransmitterCurrentA:0.000000000}"));
}
