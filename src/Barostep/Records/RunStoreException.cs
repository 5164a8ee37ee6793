namespace Barostep.Records;

/// <summary>The store cannot do what was asked; the message is meant for people.</summary>
public sealed class RunStoreException : Exception
{
    public RunStoreException(string message)
        : base(message)
    {
    }

    public RunStoreException(string message, Exception inner)
        : base(message, inner)
    {
    }
}
