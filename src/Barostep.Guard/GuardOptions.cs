namespace Barostep.Guard;

/// <summary>What the guard was started with.</summary>
/// <param name="Bench">The bench that it guards.</param>
/// <param name="Config">Configuration folder; null for the one that came with the program.</param>
/// <param name="Ports">Folder in which plain port names are links; null where they are paths.</param>
/// <param name="State">Folder for journals and sockets; null for the configuration's own.</param>
/// <param name="VentOnly">Vent the bench and end: what a service manager runs after any end of the guard.</param>
/// <param name="UntilStdinCloses">A parent holds standard input open; when it dies, the guard vents and ends.</param>
/// <param name="Simulated">Marks the journal, for good, as one of a simulated bench.</param>
internal sealed record GuardOptions(
    string Bench, string? Config, string? Ports, string? State, bool VentOnly, bool UntilStdinCloses, bool Simulated)
{
    public const string Usage = """
        barostep-guard --bench NAME [--config DIR] [--state DIR] [--ports DIR] [--vent-only] [--until-stdin-closes]

        Guards one bench: owns its pressure source, its reference and its dump valve, keeps it within its limits and
        writes its journal. It is not a safety device: fit a relief valve below the lowest rating.

          --bench NAME           the bench
          --config DIR           configuration folder; without it the one that came with the program
          --state DIR            folder for journals and sockets; without it state_folder of barostep.toml
          --ports DIR            folder in which the bench file's port names are links: a simulated bench
          --vent-only            isolate and vent the bench, say within five seconds whether it is depressurised, and end
          --until-stdin-closes   vent and end when standard input closes
        """;

    /// <summary>Reads the arguments.</summary>
    /// <exception cref="RefusedException">One is unknown or incomplete.</exception>
    public static GuardOptions Parse(string[] arguments)
    {
        string? bench = null, config = null, ports = null, state = null;
        bool ventOnly = false, untilStdinCloses = false;
        for (int i = 0; i < arguments.Length; i++)
        {
            switch (arguments[i])
            {
                case "--bench": bench = ValueOf(arguments, ref i); break;
                case "--config": config = ValueOf(arguments, ref i); break;
                case "--state": state = ValueOf(arguments, ref i); break;
                case "--ports": ports = ValueOf(arguments, ref i); break;
                case "--vent-only": ventOnly = true; break;
                case "--until-stdin-closes": untilStdinCloses = true; break;
                default: throw new RefusedException($"'{arguments[i]}' is not understood; add --help to see what is");
            }
        }

        return bench is null
            ? throw new RefusedException("no bench is named; write --bench NAME")
            : new GuardOptions(bench, config, ports, state, ventOnly, untilStdinCloses, Simulated: ports is not null);
    }

    private static string ValueOf(string[] arguments, ref int i) => ++i < arguments.Length
        ? arguments[i]
        : throw new RefusedException($"{arguments[i - 1]} needs a value; add --help to see which");
}
