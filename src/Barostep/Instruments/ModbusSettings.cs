namespace Barostep.Instruments;

/// <summary>What a Modbus master asks for, by its function code.</summary>
public enum ModbusFunction
{
    ReadHolding = 3,
    ReadInput = 4,
    WriteOne = 6,
    WriteSeveral = 16,
}

/// <summary>How an instrument that speaks Modbus is reached.</summary>
/// <param name="OverTcp">With the header of Modbus TCP and no check of its own; otherwise RTU.</param>
/// <param name="Address">The unit's address, 1 to 247; over TCP 0 to 255.</param>
public sealed record ModbusSettings(bool OverTcp, int Address);

/// <summary>Registers that one exchange reads or writes.</summary>
/// <param name="Function">How.</param>
/// <param name="Register">The first one, as it stands in the message: counted from 0.</param>
/// <param name="Count">How many, from the width of the reply or the request.</param>
public sealed record RegisterAccess(ModbusFunction Function, int Register, int Count)
{
    /// <summary>Whether the function changes something in the instrument.</summary>
    public bool Writes => Function is ModbusFunction.WriteOne or ModbusFunction.WriteSeveral;
}
