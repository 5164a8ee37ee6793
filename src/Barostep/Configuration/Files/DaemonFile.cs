using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>barostep.toml</c>.</summary>
internal static class DaemonFile
{
    private static readonly Dictionary<string, LogLevel> Levels = new(StringComparer.Ordinal)
    {
        ["debug"] = LogLevel.Debug,
        ["information"] = LogLevel.Information,
        ["warning"] = LogLevel.Warning,
        ["error"] = LogLevel.Error,
    };

    /// <param name="file">The file.</param>
    /// <param name="names">Names of the definitions that have a file, by the folder they lie in.</param>
    public static DaemonSettings Read(TableReader file, IReadOnlyDictionary<string, IReadOnlyCollection<string>> names)
    {
        string state = file.TextOr("state_folder", DaemonSettings.Default.StateFolder, "state");
        LogLevel level = file.ChoiceIfAny("log_level", Levels) ?? DaemonSettings.Default.LogLevel;
        long port = DaemonSettings.Default.HttpPort;
        if (file.TableIfAny("http") is { } http)
        {
            port = http.WholeOr("port", port, 1, 65_535);
            http.Close();
        }

        Laboratory? laboratory = file.TableIfAny("laboratory") is { } table ? LaboratoryTable.Read(table) : null;
        NetworkListener? network = file.TableIfAny("network") is { } listener ? NetworkTable.Read(listener) : null;
        NotifySettings notify = file.TableIfAny("notify") is { } told ? NotifyTable.Read(told) : NotifySettings.None;
        List<string> safetyPeople = [.. file.NamesIfAny("safety_people").Select(entry => ((TomlValue.Text)entry.Value).Value)];
        IReadOnlyList<TomlEntry> benches = file.NamesIfAny("benches");
        List<string> served = [.. benches.Select(entry => ((TomlValue.Text)entry.Value).Value)];
        for (int i = 0; i < served.Count; i++)
            CheckServed(file, benches[i], served, i, names["benches"]);
        List<PlannedRun> runs = [.. file.Tables("run").Select(run => ReadRun(run.Name, run.Table, names)).OfType<PlannedRun>()];
        file.Close();
        return new DaemonSettings(state, (int)port, level, served, runs)
        {
            Laboratory = laboratory,
            SafetyPeople = safetyPeople,
            Network = network,
            Notify = notify,
        };
    }

    private static void CheckServed(TableReader file, TomlEntry entry, List<string> served, int i, IReadOnlyCollection<string> known)
    {
        if (served.IndexOf(served[i]) < i)
            file.File.ReportKeepingUsable(entry.ValueAt, $"bench \"{served[i]}\" is listed twice", "each bench is served once", "delete one of the two");
        else
            CheckExists(file, entry.ValueAt, "benches", "benches", served[i], known);
    }

    private static PlannedRun? ReadRun(string name, TableReader run, IReadOnlyDictionary<string, IReadOnlyCollection<string>> names)
    {
        string? bench = Named("bench", "benches", "demo");
        string? device = Named("device", "devices", "transmitter-16bar");
        string? procedure = Named("procedure", "procedures", "eleven-point");
        run.Close();
        return bench is not null && device is not null && procedure is not null ? new PlannedRun(name, bench, device, procedure) : null;

        string? Named(string key, string folder, string example)
        {
            if (run.Text(key, example) is not { } written)
                return null;
            return CheckExists(run, run.At(key), run.PathOf(key), folder, written, names[folder]) ? written : null;
        }
    }

    private static bool CheckExists(
        TableReader file, SourcePosition where, string path, string folder, string written, IReadOnlyCollection<string> known)
    {
        if (known.Contains(written))
            return true;
        string? near = NearestName.Of(written, known);
        file.File.ReportKeepingUsable(where, $"{path} names \"{MessageText.OneLine(written)}\"", $"there is no {folder}/{MessageText.OneLine(written)}.toml",
            near is null ? "write that file or name another" : $"did you mean \"{near}\"");
        return false;
    }
}
