namespace Barostep.Simulators.Instruments;

/// <summary>Error queue and status registers by IEEE 488.2 and SCPI-1999.</summary>
public sealed class StatusRegisters
{
    public const int PowerOnBit = 128;

    private const int QueueCapacity = 10;

    private readonly Queue<int> _errors = new(QueueCapacity);

    public int StandardEvents { get; private set; }

    public int StandardEnable { get; set; }

    public int ServiceEnable { get; set; }

    public int OperationEnable { get; set; }

    public int QuestionableEnable { get; set; }

    public int OperationCondition { get; private set; }

    public int QuestionableCondition { get; private set; }

    public int ErrorCount => _errors.Count;

    private int OperationEvents { get; set; }

    private int QuestionableEvents { get; set; }

    /// <summary>The status byte with its summary bits.</summary>
    public int StatusByte
    {
        get
        {
            int value = (_errors.Count > 0 ? 4 : 0)
                | ((QuestionableEvents & QuestionableEnable) != 0 ? 8 : 0)
                | ((StandardEvents & StandardEnable) != 0 ? 32 : 0)
                | ((OperationEvents & OperationEnable) != 0 ? 128 : 0);
            return (value & ServiceEnable) != 0 ? value | 64 : value;
        }
    }

    public void PowerOn()
    {
        Clear();
        StandardEnable = 0;
        ServiceEnable = 0;
        OperationEnable = 0;
        QuestionableEnable = 0;
        OperationCondition = 0;
        QuestionableCondition = 0;
        Report(-500);
    }

    public void Clear()
    {
        _errors.Clear();
        StandardEvents = 0;
        OperationEvents = 0;
        QuestionableEvents = 0;
    }

    /// <summary>Queues an error and sets the bit of its class.</summary>
    public void Report(int error)
    {
        StandardEvents |= error switch
        {
            -500 => PowerOnBit,
            <= -400 => 4,
            <= -300 => 8,
            <= -200 => 16,
            _ => 32,
        };
        if (_errors.Count < QueueCapacity - 1)
        {
            _errors.Enqueue(error);
        }
        else if (_errors.Count == QueueCapacity - 1)
        {
            _errors.Enqueue(-350);
        }
    }

    public void CompleteOperation() => StandardEvents |= 1;

    public int TakeError() => _errors.TryDequeue(out int error) ? error : 0;

    public int TakeStandardEvents()
    {
        int value = StandardEvents;
        StandardEvents = 0;
        return value;
    }

    public int TakeOperationEvents()
    {
        int value = OperationEvents;
        OperationEvents = 0;
        return value;
    }

    public int TakeQuestionableEvents()
    {
        int value = QuestionableEvents;
        QuestionableEvents = 0;
        return value;
    }

    /// <summary>Sets the conditions; a bit that comes on is an event.</summary>
    public void SetConditions(int operation, int questionable)
    {
        OperationEvents |= operation & ~OperationCondition;
        QuestionableEvents |= questionable & ~QuestionableCondition;
        OperationCondition = operation;
        QuestionableCondition = questionable;
    }

    /// <summary>The text that SCPI-1999 gives to an error number.</summary>
    public static string Text(int error) => error switch
    {
        0 => "No error",
        -102 => "Syntax error",
        -104 => "Data type error",
        -108 => "Parameter not allowed",
        -109 => "Missing parameter",
        -113 => "Undefined header",
        -131 => "Invalid suffix",
        -222 => "Data out of range",
        -224 => "Illegal parameter value",
        -300 => "Device specific error",
        -350 => "Queue overflow",
        -363 => "Input buffer overrun",
        -500 => "Power on",
        _ => "Error",
    };
}
