using System.Text.Json;
using Barostep.Evaluation.Devices;

namespace Barostep.Records;

/// <summary>The ideal relation between pressure and output as JSON: a word, or the points of a table.</summary>
internal static class TransferJson
{
    private const string Linear = "linear";
    private const string SquareRoot = "squareRoot";

    public static void Write(Utf8JsonWriter json, string name, SignalTransfer transfer)
    {
        switch (transfer)
        {
            case SignalTransfer.Linear:
                json.WriteString(name, Linear);
                break;
            case SignalTransfer.SquareRoot:
                json.WriteString(name, SquareRoot);
                break;
            case SignalTransfer.Table table:
                RecordJsonWriter.Array(json, name, table.Points, (to, point) =>
                {
                    to.WriteStartObject();
                    to.WriteNumber("pressureShare", point.PressureShare);
                    to.WriteNumber("signalShare", point.SignalShare);
                    to.WriteEndObject();
                });
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(transfer), transfer, "unknown transfer");
        }
    }

    /// <summary>Linear where nothing else was written.</summary>
    public static SignalTransfer Read(JsonPlace? json)
    {
        if (json is not { } place)
            return new SignalTransfer.Linear();
        if (place.Element.ValueKind == JsonValueKind.Array)
            return new SignalTransfer.Table([.. place.Items().Select(point => (point.Member("pressureShare").Number(), point.Member("signalShare").Number()))]);
        return place.Text() == SquareRoot ? new SignalTransfer.SquareRoot() : new SignalTransfer.Linear();
    }
}
