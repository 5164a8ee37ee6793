namespace Barostep.Safety;

/// <summary>A pressurised part and what it can stand, already derated for temperature.</summary>
/// <param name="Name">As shown beside a refusal.</param>
/// <param name="RatingPascals">Highest pressure it may see, Pa absolute.</param>
/// <param name="FloorPascals">Lowest pressure it may see, Pa absolute.</param>
/// <param name="Source">Where the rating is written.</param>
public sealed record RatedPart(string Name, double RatingPascals, double FloorPascals, string Source);

/// <summary>A relief valve that opens by itself towards the atmosphere.</summary>
/// <param name="Name">Its tag on the bench.</param>
/// <param name="SetGaugePascals">Set pressure, Pa gauge.</param>
/// <param name="Tolerance">Share of the set pressure by which it may open early or late (0.03 is 3 %).</param>
/// <param name="Conductance">Sonic conductance at full lift, m³/(s·Pa).</param>
/// <param name="LastTest">Date of its last test as recorded; empty where none is.</param>
public sealed record ReliefValve(string Name, double SetGaugePascals, double Tolerance, double Conductance, string LastTest)
{
    /// <summary>Whether its test has come due since; nobody may rely on it alone then.</summary>
    public bool TestIsOverdue { get; init; }
}

/// <summary>A hard-wired pressure switch that isolates and dumps without any program.</summary>
/// <param name="Name">Its tag on the bench.</param>
/// <param name="SetGaugePascals">Switching point, Pa gauge.</param>
/// <param name="Tolerance">Share of the switching point by which it may act early or late.</param>
/// <param name="ResponseSeconds">From crossing to a shut valve: its own lag, the relay and the valve, s.</param>
public sealed record PressureSwitch(string Name, double SetGaugePascals, double Tolerance, double ResponseSeconds);

/// <summary>The relay that isolates and dumps when its keep-alive stops.</summary>
/// <param name="TimeoutSeconds">Silence after which it drops, s.</param>
/// <param name="TimeoutCount">1 for a relay that challenges every cycle; 2 for a dumb one that a single late pulse can extend.</param>
/// <param name="RelaySeconds">From its decision to its contact, s.</param>
public sealed record KeepAliveRelay(double TimeoutSeconds, int TimeoutCount, double RelaySeconds);

/// <summary>The line that carries the command to shut, where it is another than the reference's.</summary>
/// <param name="BitsPerByte">Bits on the line for one byte.</param>
/// <param name="Baud">Line speed, bit/s.</param>
/// <param name="TurnaroundSeconds">From the last byte of the command to its effect inside the instrument, s.</param>
/// <param name="LongestExchangeSeconds">Longest exchange on this line, for which the command may have to wait, s.</param>
public sealed record CommandLine(double BitsPerByte, double Baud, double TurnaroundSeconds, double LongestExchangeSeconds);

/// <summary>The delays between a pressure and a shut valve, all in seconds.</summary>
public sealed record GuardTiming
{
    /// <summary>Period of the poll of the reference.</summary>
    public required double PollPeriodSeconds { get; init; }

    /// <summary>Bytes of the request for a reading.</summary>
    public required int RequestBytes { get; init; }

    /// <summary>Bytes of its reply.</summary>
    public required int ReplyBytes { get; init; }

    /// <summary>Bytes of the command that shuts the fill.</summary>
    public required int CommandBytes { get; init; }

    /// <summary>Bits on the line for one byte: 10 for 8N1.</summary>
    public double BitsPerByte { get; init; } = 10;

    /// <summary>Line speed, bit/s.</summary>
    public required double Baud { get; init; }

    /// <summary>How long the instrument takes to begin its answer.</summary>
    public required double TurnaroundSeconds { get; init; }

    /// <summary>How long the line adapter may keep a reply back; 16 ms is the usual default of a USB adapter.</summary>
    public required double UsbLatencySeconds { get; init; }

    /// <summary>Sum of the other exchanges of a cycle on the same line; each is no longer than this sum.</summary>
    public double OtherExchangesSeconds { get; init; }

    /// <summary>Largest age of the returned sample when the request arrives.</summary>
    public required double ConversionAgeSeconds { get; init; }

    /// <summary>Time constant of the sensor.</summary>
    public required double SensorLagSeconds { get; init; }

    /// <summary>Delay of the tubing to the sensor.</summary>
    public double LineLagSeconds { get; init; }

    /// <summary>From the arrival of a reply to the first command byte.</summary>
    public required double ExecutionSeconds { get; init; }

    /// <summary>How long the source's line goes on by itself when deciding stops while a reading is fresh; 0 where that is no longer than deciding takes.</summary>
    public double LeaseSeconds { get; init; }

    /// <summary>From the command to the first movement of the valve.</summary>
    public required double ValveDeadSeconds { get; init; }

    /// <summary>From the first movement to a shut valve; flow counts in full until its end.</summary>
    public required double ValveCloseSeconds { get; init; }

    /// <summary>Allowance for a late poll.</summary>
    public required double JitterSeconds { get; init; }

    /// <summary>Replies that may be missed before the reading is stale.</summary>
    public required int MissedReplies { get; init; }

    /// <summary>Age at which the guard is set to call a reading stale; null where the figures above decide it.</summary>
    public double? StaleAgeSeconds { get; init; }

    /// <summary>Null where the command goes over the reference's line.</summary>
    public CommandLine? CommandLine { get; init; }
}

/// <summary>What the overshoot budget needs to know of a bench; SI units, every pressure absolute unless named gauge.</summary>
public sealed record BudgetInputs
{
    /// <summary>The gas by name; see <see cref="FillGas"/>.</summary>
    public required string Gas { get; init; }

    /// <summary>Highest pressure that the supply can deliver if its regulator fails, Pa absolute.</summary>
    public required double SupplyMaximumPascals { get; init; }

    /// <summary>Temperature of the supply, K.</summary>
    public double SupplyTemperatureKelvin { get; init; } = FillGas.ReferenceTemperatureKelvin;

    /// <summary>Sonic conductance of all fill paths that can be open together, m³/(s·Pa).</summary>
    public required double FillConductance { get; init; }

    /// <summary>Critical pressure ratio of the fill path, from 0 up to but not including 1.</summary>
    public required double FillCriticalRatio { get; init; }

    /// <summary>Sonic conductance of the dump that is sure to open, m³/(s·Pa).</summary>
    public required double DumpConductance { get; init; }

    /// <summary>Critical pressure ratio of the dump.</summary>
    public required double DumpCriticalRatio { get; init; }

    /// <summary>Sonic conductance towards a vacuum pump, m³/(s·Pa); 0 where no pump is fitted.</summary>
    public double VacuumConductance { get; init; }

    /// <summary>Smallest volume that can occur, m³: the device valved off.</summary>
    public required double VolumeMinimum { get; init; }

    /// <summary>Largest volume that can occur, m³.</summary>
    public required double VolumeMaximum { get; init; }

    /// <summary>Gas between the shut valve and the restrictor, m³.</summary>
    public required double TrappedVolume { get; init; }

    /// <summary>The atmosphere that gauge values count from, Pa absolute.</summary>
    public required double AtmospherePascals { get; init; }

    /// <summary>By how much the atmosphere may differ from <see cref="AtmospherePascals"/> while a run lasts, Pa.</summary>
    public double AtmosphereSpreadPascals { get; init; }

    /// <summary>Everything that sets a ceiling or a floor: the lowest ceiling and the highest floor are in force.</summary>
    public required IReadOnlyList<LimitContribution> Limits { get; init; }

    /// <summary>Highest set point that a run may ask for, Pa absolute.</summary>
    public required double SetPointMaximumPascals { get; init; }

    /// <summary>By how much the controller may overshoot its set point, Pa.</summary>
    public required double ControlMarginPascals { get; init; }

    /// <summary>Expanded uncertainty of the reference, Pa.</summary>
    public required double ReferenceUncertaintyPascals { get; init; }

    public required IReadOnlyList<RatedPart> Parts { get; init; }

    /// <summary>Null where none is fitted.</summary>
    public required ReliefValve? Relief { get; init; }

    /// <summary>Null where none is fitted.</summary>
    public required PressureSwitch? Switch { get; init; }

    /// <summary>Null where none is fitted.</summary>
    public required KeepAliveRelay? KeepAlive { get; init; }

    public required GuardTiming Timing { get; init; }

    /// <summary>Sensors of pressure that the guard hears, each over a line of its own.</summary>
    public int PressureSensors { get; init; } = 2;

    /// <summary>Whether the bench's owner allows runs with nobody present.</summary>
    public bool UnattendedAllowed { get; init; } = true;

    /// <summary>Why the supply cannot deliver more than <see cref="SupplyMaximumPascals"/>; empty where nobody said.</summary>
    public string SupplyMaximumReason { get; init; } = "";

    /// <summary>The contribution with the lowest ceiling.</summary>
    public LimitContribution CeilingGovernedBy => Limits.Where(limit => limit.Ceiling is not null).MinBy(limit => limit.Ceiling)!;

    /// <summary>The contribution with the highest floor.</summary>
    public LimitContribution FloorGovernedBy => Limits.Where(limit => limit.Floor is not null).MaxBy(limit => limit.Floor)!;

    /// <summary>The effective ceiling, Pa absolute.</summary>
    public double CeilingPascals => CeilingGovernedBy.Ceiling.GetValueOrDefault().Pascals;

    /// <summary>The effective floor, Pa absolute.</summary>
    public double FloorPascals => FloorGovernedBy.Floor.GetValueOrDefault().Pascals;

    /// <summary>Whether the supply, even with its regulator failed, cannot bring any part above its rating.</summary>
    public bool SupplyCannotExceedRatings => Parts.All(part => SupplyMaximumPascals <= part.RatingPascals);
}
