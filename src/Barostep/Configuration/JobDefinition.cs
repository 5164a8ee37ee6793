namespace Barostep.Configuration;

/// <summary>One customer's order for one device, as it was agreed and as the device arrived.</summary>
public sealed record JobDefinition
{
    /// <summary>The name by which commands call it: the file's name without its ending.</summary>
    public required string Name { get; init; }

    public required string Customer { get; init; }

    /// <summary>One line or several; empty where none was given.</summary>
    public required string CustomerAddress { get; init; }

    /// <summary>Empty where none was given.</summary>
    public string CustomerPostCode { get; init; } = string.Empty;

    /// <summary>Empty where none was given.</summary>
    public string CustomerCity { get; init; } = string.Empty;

    /// <summary>Two capital letters of ISO 3166-1; empty: the laboratory's own.</summary>
    public string CustomerCountry { get; init; } = string.Empty;

    /// <summary>The customer's order number.</summary>
    public required string Order { get; init; }

    /// <summary>Name of the device definition.</summary>
    public required string Device { get; init; }

    public required DateOnly ReceivedOn { get; init; }

    public required string ReceivedBy { get; init; }

    /// <summary>Condition on receipt, in words.</summary>
    public required string Condition { get; init; }

    /// <summary>What came with it; empty where nothing did.</summary>
    public required string Accessories { get; init; }

    /// <summary>Identification of the method, as the certificate names it.</summary>
    public required string Method { get; init; }

    public required DecisionAgreement Decision { get; init; }

    /// <summary>Whether the device may be adjusted after it was calibrated as found.</summary>
    public required bool AdjustmentAllowed { get; init; }

    /// <summary>Whether the customer agreed to a due date on the certificate; otherwise none is shown (ISO/IEC 17025 7.8.4.3).</summary>
    public required bool DueDateAgreed { get; init; }
}
