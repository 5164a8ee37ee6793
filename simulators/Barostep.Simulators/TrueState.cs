namespace Barostep.Simulators;

/// <summary>What the gas, the valves and the device really are, as no instrument on the bench can tell it.</summary>
/// <param name="TimeMicros">Bench time, microseconds from the start.</param>
/// <param name="PressurePa">Absolute pressure of the gas, Pa.</param>
/// <param name="GasTemperatureK">Mean temperature of the gas, K.</param>
/// <param name="WallTemperatureK">Temperature of the wall, K.</param>
/// <param name="MassKg">Mass of the gas in the volume, kg.</param>
/// <param name="FillOpening">Opening of the fill valve, 0 to 1.</param>
/// <param name="VentOpening">Opening of the vent valve, 0 to 1.</param>
/// <param name="VacuumOpening">Opening of the vacuum valve, 0 to 1; 0 on a bench without one.</param>
/// <param name="DumpOpening">Opening of the dump valve, 0 to 1; 0 on a bench without one.</param>
/// <param name="AtmospherePa">Absolute pressure of the room, Pa.</param>
/// <param name="SupplyPa">Absolute pressure of the supply, Pa.</param>
/// <param name="TransmitterCurrentA">Output of the transmitter under test, A; 0 on a bench without one.</param>
public readonly record struct TrueState(
    long TimeMicros,
    double PressurePa,
    double GasTemperatureK,
    double WallTemperatureK,
    double MassKg,
    double FillOpening,
    double VentOpening,
    double VacuumOpening,
    double DumpOpening,
    double AtmospherePa,
    double SupplyPa,
    double TransmitterCurrentA);
