using System.Security.Cryptography;
using System.Text;
using Barostep.Instruments;
using Barostep.Procedures;

namespace Barostep.Configuration;

/// <summary>Tells whether two programs have read the same files.</summary>
public static class FilesHash
{
    /// <summary>SHA-256 over the files that limit a run, names included, as 64 hexadecimal digits.</summary>
    /// <param name="folder">The configuration folder.</param>
    /// <param name="bench">The bench; its file and those of its instruments.</param>
    /// <param name="device">The device that is fitted; null for the bare bench.</param>
    /// <param name="procedure">The procedure; null for none.</param>
    /// <exception cref="IOException">A file cannot be read any more.</exception>
    public static string Of(string folder, BenchDefinition bench, DeviceDefinition? device = null, Procedure? procedure = null)
    {
        ArgumentNullException.ThrowIfNull(bench);
        var files = new SortedSet<string>(StringComparer.Ordinal) { SourceMap.FileOf(bench) };
        foreach (FittedInstrument fitted in new FittedInstrument?[] { bench.Source, bench.Reference, bench.DumpValve, bench.BarometerLine }.OfType<FittedInstrument>().Concat(bench.Inputs.Select(input => input.Fitted)))
            files.Add(SourceMap.FileOf(fitted.Definition));
        if (device is not null)
            files.UnionWith(bench.Beside.Select(one => one.Device).Prepend(device).Select(SourceMap.FileOf));
        if (procedure is not null)
            files.Add(SourceMap.FileOf(procedure));
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        foreach (string file in files)
        {
            byte[] contents = File.ReadAllBytes(Path.Combine(folder, file));
            hash.AppendData(Encoding.UTF8.GetBytes($"{file}\n{contents.Length}\n"));
            hash.AppendData(contents);
        }

        return Convert.ToHexStringLower(hash.GetHashAndReset());
    }
}
