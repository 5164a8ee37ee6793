namespace Barostep.Certificates;

/// <summary>Where something is, as post would be addressed.</summary>
/// <param name="Street">Street and number.</param>
/// <param name="CountryCode">Two capital letters of ISO 3166-1.</param>
public sealed record PostalAddress(string Street, string PostCode, string City, string CountryCode)
{
    /// <summary>On one line, as the certificate shows it.</summary>
    public string Line => string.Join(", ", new[] { Street, $"{PostCode} {City}".Trim(), CountryCode }.Where(part => part.Length > 0));
}

/// <summary>A laboratory or a customer.</summary>
public sealed record Party(string Name, PostalAddress Address)
{
    /// <summary>Null where none is given.</summary>
    public string? Email { get; init; }

    /// <summary>Null where none is given.</summary>
    public string? Telephone { get; init; }
}
