namespace Barostep.Safety;

/// <summary>The word by which each kind of entry goes in the file.</summary>
internal static class JournalWords
{
    private static readonly string[] Words =
    [
        "open", "limits", "state", "tick", "raise", "trip", "acknowledge", "ceiling", "run-start", "run-end", "note", "gap", "stop", "rotate",
    ];

    public static string Of(JournalKind kind) => Words[(int)kind];

    public static bool TryFind(string word, out JournalKind kind)
    {
        int index = Array.IndexOf(Words, word);
        kind = (JournalKind)Math.Max(index, 0);
        return index >= 0;
    }
}
