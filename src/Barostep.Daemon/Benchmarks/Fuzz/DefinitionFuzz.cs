using System.Globalization;
using Barostep.Configuration;
using Barostep.Instruments;

namespace Barostep.Daemon.Benchmarks.Fuzz;

/// <summary>Spoilt instrument definitions: each loads, or gets a message with its place, its rule and what to write.</summary>
public static class DefinitionFuzz
{
    private const string File = "instruments/spoilt.toml";

    /// <summary>What came of so many definitions.</summary>
    /// <param name="Loaded">Loaded all the same.</param>
    /// <param name="Refused">Got messages.</param>
    /// <param name="Wrong">Neither, with the number of the case and what was wrong; the same seed gives it again.</param>
    public sealed record Outcome(int Loaded, int Refused, IReadOnlyList<string> Wrong);

    /// <summary>Spoils and reads.</summary>
    /// <param name="texts">Definitions without a fault.</param>
    /// <param name="seed">The same seed gives the same cases.</param>
    /// <param name="count">How many.</param>
    public static Outcome Run(IReadOnlyList<string> texts, int seed, int count)
    {
        ArgumentNullException.ThrowIfNull(texts);
        int loaded = 0;
        List<string> wrong = [];
        for (int i = 0; i < count; i++)
        {
            var random = new Random(FuzzSeed.Of(seed, i));
            string text = SpoiltText.Of(texts[random.Next(texts.Count)], random);
            string? fault = Fault(text, ref loaded);
            if (fault is not null)
                wrong.Add(string.Create(CultureInfo.InvariantCulture, $"seed {seed}, case {i}: {fault}"));
        }

        return new Outcome(loaded, count - loaded - wrong.Count, wrong);
    }

    public static void Report(TextWriter output, IReadOnlyList<string> texts, int seed, int count)
    {
        ArgumentNullException.ThrowIfNull(output);
        Outcome outcome = Run(texts, seed, count);
        output.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"seed {seed}: {count} spoilt definitions, {outcome.Refused} refused with a place and what to write, {outcome.Loaded} loaded, {outcome.Wrong.Count} otherwise"));
        foreach (string wrong in outcome.Wrong.Take(20))
            output.WriteLine(wrong);
    }

    private static string? Fault(string text, ref int loaded)
    {
        try
        {
            InstrumentReading reading = InstrumentReading.Of(File, text);
            if (reading.Errors.Count == 0)
            {
                if (reading.Definition is null)
                    return "neither a definition nor a message";
                _ = new InstrumentDriver(new FittedInstrument(reading.Definition, "port", null, null, 0));
                loaded++;
                return null;
            }

            return reading.Errors.Select(Fault).FirstOrDefault(fault => fault is not null);
        }
#pragma warning disable CA1031 // That anything is thrown at all is what is looked for.
        catch (Exception e)
#pragma warning restore CA1031
        {
            return $"{e.GetType().Name}: {e.Message}";
        }
    }

    private static string? Fault(ConfigurationError error)
    {
        string message = error.ToString();
        bool located = error.Where.File == File && error.Where.Line >= 1 && error.Where.Column >= 1;
        bool whole = error.Found.Length > 0 && error.Rule.Length > 0 && error.Instead.Length > 0;
        bool plain = !message.Contains('\n', StringComparison.Ordinal) && !message.Contains("Exception", StringComparison.Ordinal)
            && !message.Any(letter => char.IsControl(letter));
        return located && whole && plain ? null : $"the message '{message.ReplaceLineEndings(" ")}' is not one of ours";
    }
}

/// <summary>Seeds of cases that have nothing to do with each other.</summary>
internal static class FuzzSeed
{
    public static int Of(int seed, int number) => unchecked((int)(((uint)seed * 2_654_435_761u) ^ ((uint)number * 2_246_822_519u)));
}
