using System.Text;
using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

/// <summary>Shipped files with a few characters spoilt: whatever comes of it, it has a place and is no exception.</summary>
public sealed class MutationTests
{
    private const ulong Seed = 20_261_125;
    private const int Mutants = 10_000;
    private const string Spice = "=\"'[]{}.,#\n\r\t\\ \0-+0199eE%\u00b5\u20ac_truefalsebarnaninf";

    [Fact]
    public void Ten_thousand_spoilt_files_give_definitions_or_located_messages()
    {
        (string Name, string Text)[] shipped = [.. Directory.GetFiles(ShippedConfiguration.Folder, "*.toml", SearchOption.AllDirectories)
            .Order(StringComparer.Ordinal)
            .Select(file => (Path.GetRelativePath(ShippedConfiguration.Folder, file), File.ReadAllText(file)))];
        using var alone = new ConfigurationFixture();
        using var withInstruments = new ConfigurationFixture();
        foreach ((string name, _) in shipped)
        {
            alone.Delete(name).Write("barostep.toml", string.Empty);
            if (!name.StartsWith("instruments/", StringComparison.Ordinal))
                withInstruments.Delete(name).Write("barostep.toml", string.Empty);
        }

        var random = new Pcg(Seed);
        int refused = 0;
        for (int i = 0; i < Mutants; i++)
        {
            (string name, string text) = shipped[random.Below(shipped.Length)];
            string mutant = Spoil(text, random);
            LoadedConfiguration loaded = Load(name.StartsWith("benches/", StringComparison.Ordinal) ? withInstruments : alone, name, mutant);
            IReadOnlyList<ConfigurationError> errors = loaded.Errors;

            Assert.True(errors.Count > 0 || Definitions(loaded.Configuration, name) > 0, $"seed {Seed}, mutant {i} of {name} gave neither definition nor message");
            Assert.All(errors, error => Assert.True(
                error.Where.File == name && error.Where.Line >= 1 && error.Where.Line <= mutant.Count(c => c == '\n') + 1
                && error.Where.Column >= 1 && !error.ToString().Any(char.IsControl)
                && error.Found.Length > 0 && error.Rule.Length > 0 && error.Instead.Length > 0,
                $"seed {Seed}, mutant {i} of {name}: {error}"));
            refused += errors.Count > 0 ? 1 : 0;
        }

        // Most of a file is comment; if hardly any mutant were refused, the checks would not be looking.
        Assert.InRange(refused, Mutants / 4, Mutants - 1);
    }

    /// <summary>Loads a folder that holds the mutant, and for a bench the shipped instruments, and nothing else.</summary>
    private static LoadedConfiguration Load(ConfigurationFixture files, string name, string mutant)
    {
        files.Write(name, mutant);
        LoadedConfiguration loaded = files.Load();
        if (name == "barostep.toml")
            files.Write(name, string.Empty);
        else
            files.Delete(name);
        return loaded;
    }

    private static int Definitions(WorkshopConfiguration read, string name) => name.Split('/')[0] switch
    {
        "benches" => read.Benches.Count,
        "devices" => read.Devices.Count,
        "procedures" => read.Procedures.Count,
        "instruments" => read.Instruments.Count,
        _ => 1,
    };

    private static string Spoil(string text, Pcg random)
    {
        var spoilt = new StringBuilder(text);
        for (int times = 1 + random.Below(3); times > 0; times--)
        {
            int at = random.Below(spoilt.Length);
            switch (random.Below(4))
            {
                case 0:
                    spoilt.Remove(at, Math.Min(1 + random.Below(12), spoilt.Length - at));
                    break;
                case 1:
                    spoilt.Insert(at, Spice[random.Below(Spice.Length)]);
                    break;
                case 2:
                    spoilt[at] = Spice[random.Below(Spice.Length)];
                    break;
                default:
                    string piece = spoilt.ToString(at, Math.Min(30, spoilt.Length - at));
                    spoilt.Insert(random.Below(spoilt.Length), piece);
                    break;
            }
        }

        return spoilt.ToString();
    }

    /// <summary>PCG-XSH-RR 64/32 (O'Neill 2014), so that a seed means the same sequence on every runtime.</summary>
    private sealed class Pcg(ulong seed)
    {
        private ulong _state = seed + 1442695040888963407UL;

        public int Below(int bound)
        {
            ulong old = _state;
            _state = unchecked((old * 6364136223846793005UL) + 1442695040888963407UL);
            uint shifted = (uint)(((old >> 18) ^ old) >> 27);
            uint drawn = uint.RotateRight(shifted, (int)(old >> 59));
            return (int)(((ulong)drawn * (ulong)bound) >> 32);
        }
    }
}
