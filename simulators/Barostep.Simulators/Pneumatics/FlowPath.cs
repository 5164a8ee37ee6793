namespace Barostep.Simulators.Pneumatics;

/// <summary>A passage between the volume and something large: supply, room or vacuum source. Flow goes either way.</summary>
public sealed class FlowPath
{
    /// <summary>Absolute pressure beyond the passage, Pa.</summary>
    public double BeyondPa { get; set; }

    /// <summary>Temperature of the gas beyond, K.</summary>
    public double BeyondK
    {
        get;
        set
        {
            field = value;
            InverseRootBeyondK = 1 / Math.Sqrt(value);
        }
    } = Iso6358.ReferenceTemperatureK;

    /// <summary>One over the root of <see cref="BeyondK"/>, for the flow inwards.</summary>
    internal double InverseRootBeyondK { get; private set; } = 1 / Math.Sqrt(Iso6358.ReferenceTemperatureK);

    /// <summary>Sonic conductance at the present opening, m3/(s Pa); 0 when shut.</summary>
    public double Conductance { get; set; }

    /// <summary>Critical pressure ratio b.</summary>
    public double CriticalRatio { get; set; } = 0.3;
}
