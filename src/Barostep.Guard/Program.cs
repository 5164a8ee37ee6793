using Barostep;
using Barostep.Guard;

const int done = 0, refused = 2, notConfirmed = 4;
if (args.Contains("--help"))
{
    Console.Out.WriteLine(GuardOptions.Usage);
    return done;
}

try
{
    GuardOptions options = GuardOptions.Parse(args);
    GuardFiles files = GuardFiles.Load(options);
    if (options.VentOnly)
    {
        bool vented = new VentHelper(files, options, TimeProvider.System).Run();
        Console.Error.WriteLine(vented
            ? $"guard {options.Bench}: vented; depressurised by every sensor"
            : $"guard {options.Bench}: NOT confirmed that the bench is depressurised; look at a gauge before touching a fitting");
        return vented ? done : notConfirmed;
    }

    using var signals = new StopSignals(options.UntilStdinCloses);
    using var facts = new FactLog(options.Bench);
    return new GuardService(files, options, signals, facts, TimeProvider.System).Run() ? done : notConfirmed;
}
catch (RefusedException refusal)
{
    Console.Error.WriteLine(refusal.Message);
    return refused;
}
