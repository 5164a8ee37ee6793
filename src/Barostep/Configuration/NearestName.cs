namespace Barostep.Configuration;

/// <summary>Finds what someone meant to write.</summary>
internal static class NearestName
{
    /// <summary>The known name that is fewest keystrokes away, or null where none is near.</summary>
    public static string? Of(string written, IEnumerable<string> known)
    {
        // A third of the letters may be wrong: enough for a slip or a missing letter, too little for another word.
        int allowed = Math.Max(1, written.Length / 3);
        return known
            .Select(name => (Name: name, Distance: Distance(written.ToUpperInvariant(), name.ToUpperInvariant())))
            .Where(candidate => candidate.Distance <= allowed)
            .OrderBy(candidate => candidate.Distance)
            .ThenBy(candidate => candidate.Name, StringComparer.Ordinal)
            .Select(candidate => candidate.Name)
            .FirstOrDefault();
    }

    /// <summary>Levenshtein's distance: insertions, deletions and replacements.</summary>
    private static int Distance(string a, string b)
    {
        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int replaced = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.Min(replaced, Math.Min(row[j], row[j - 1]) + 1);
            }
        }

        return row[b.Length];
    }
}
