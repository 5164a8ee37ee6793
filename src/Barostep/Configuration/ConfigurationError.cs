namespace Barostep.Configuration;

/// <summary>One thing wrong in a configuration file, told so that its author can put it right.</summary>
/// <param name="Where">The place of the offending key or value.</param>
/// <param name="Found">What is there.</param>
/// <param name="Rule">What the rule is.</param>
/// <param name="Instead">What to do instead, as a request: <c>write "16 bar gauge"</c>.</param>
public sealed record ConfigurationError(SourcePosition Where, string Found, string Rule, string Instead)
{
    /// <summary>One line: <c>file:line:column: what was found; the rule; what to write instead</c>.</summary>
    public override string ToString() => $"{Where}: {Found}; {Rule}; {Instead}";
}
