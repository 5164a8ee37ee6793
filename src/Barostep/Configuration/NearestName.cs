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

    /// <summary>Insertions, deletions, replacements and exchanges of neighbours (optimal string alignment).</summary>
    private static int Distance(string a, string b)
    {
        int[,] steps = new int[a.Length + 1, b.Length + 1];
        for (int i = 0; i <= a.Length; i++)
            steps[i, 0] = i;
        for (int j = 0; j <= b.Length; j++)
            steps[0, j] = j;
        for (int i = 1; i <= a.Length; i++)
        {
            for (int j = 1; j <= b.Length; j++)
            {
                int replaced = steps[i - 1, j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
                steps[i, j] = Math.Min(replaced, Math.Min(steps[i - 1, j], steps[i, j - 1]) + 1);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                    steps[i, j] = Math.Min(steps[i, j], steps[i - 2, j - 2] + 1);
            }
        }

        return steps[a.Length, b.Length];
    }
}
