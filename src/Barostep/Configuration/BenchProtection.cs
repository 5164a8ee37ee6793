using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>A relief valve as it is fitted.</summary>
/// <param name="Identity">Its tag or serial number.</param>
/// <param name="SetPressure">Where it opens.</param>
/// <param name="Tolerance">Share of the set pressure by which it may open early or late.</param>
/// <param name="Conductance">Sonic conductance at full lift, m³/(s·Pa).</param>
/// <param name="LastTest">Day of its last test; null where none is recorded.</param>
/// <param name="TestIntervalMonths">Months after which the test is due again.</param>
public sealed record FittedReliefValve(
    string Identity, StatedPressure SetPressure, double Tolerance, double Conductance, DateOnly? LastTest, int TestIntervalMonths);

/// <summary>A hard-wired pressure switch as it is fitted.</summary>
/// <param name="Identity">Its tag or serial number.</param>
/// <param name="SetPressure">Where it switches.</param>
/// <param name="Tolerance">Share of the set pressure by which it may switch early or late.</param>
/// <param name="ReactionSeconds">From crossing to a shut valve, s.</param>
public sealed record FittedPressureSwitch(string Identity, StatedPressure SetPressure, double Tolerance, double ReactionSeconds);

/// <summary>The relay that opens the dump valve when its keep-alive stops.</summary>
/// <param name="TimeSeconds">Silence after which it drops, s.</param>
/// <param name="RelaySeconds">From its decision to its contact, s.</param>
/// <param name="Challenges">Whether it asks for a fresh answer every time; a plain monostable counts its time twice.</param>
public sealed record FittedKeepAlive(double TimeSeconds, double RelaySeconds, bool Challenges);

/// <summary>What protects a bench without this program, and whether its owner lets it run alone.</summary>
public sealed record BenchProtection
{
    /// <summary>Nothing fitted, somebody present.</summary>
    public static readonly BenchProtection None = new();

    public FittedReliefValve? ReliefValve { get; init; }

    public FittedPressureSwitch? PressureSwitch { get; init; }

    public FittedKeepAlive? KeepAlive { get; init; }

    /// <summary>Highest pressure of a bench that runs only with somebody present; null for 1 bar gauge (SR-46).</summary>
    public StatedPressure? AttendedMostPressure { get; init; }

    /// <summary>Largest energy of its gas, J.</summary>
    public double AttendedMostJoules { get; init; } = 50;

    /// <summary>Whether the owner allows runs with nobody present; more is needed than this.</summary>
    public bool UnattendedAllowed { get; init; }
}
