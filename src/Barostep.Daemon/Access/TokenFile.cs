using System.Text;
using System.Text.Json;

namespace Barostep.Daemon.Access;

/// <summary>The tokens of an installation, in <c>tokens.json</c> of its state folder, for its owner's eyes only.</summary>
/// <param name="state">State folder.</param>
internal sealed class TokenFile(string state)
{
    /// <summary>As long as a name in the journal may be.</summary>
    public const int LongestName = Lines.GuardLine.RecordSizes.Name;

    public string FullPath { get; } = Path.Combine(Path.GetFullPath(state), "tokens.json");

    /// <summary>When it was last written; changes when a token is added or removed.</summary>
    public DateTime WrittenUtc => File.GetLastWriteTimeUtc(FullPath);

    /// <exception cref="RefusedException">It cannot be read.</exception>
    public IReadOnlyList<AccessToken> Read()
    {
        try
        {
            return File.Exists(FullPath)
                ? JsonSerializer.Deserialize<AccessToken[]>(File.ReadAllBytes(FullPath), Api.ApiJson.Options) ?? []
                : [];
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or JsonException)
        {
            throw new RefusedException($"the tokens in {FullPath} cannot be read: {error.Message} Run this as the account that serves, or restore the file.");
        }
    }

    /// <exception cref="RefusedException">There is a token of that name, or the name cannot stand in a journal.</exception>
    public void Add(AccessToken token)
    {
        if (token.Name.Trim() != token.Name || token.Name.Length == 0 || Encoding.UTF8.GetByteCount(token.Name) > LongestName || token.Name.Any(char.IsControl))
            throw new RefusedException($"'{token.Name}' names nobody in a journal; write 1 to {LongestName} bytes of text");
        IReadOnlyList<AccessToken> known = Read();
        if (known.Any(one => one.Name == token.Name))
            throw new RefusedException($"there is a token '{token.Name}' already; remove it first, or choose another name");
        Write([.. known, token]);
    }

    /// <exception cref="RefusedException">There is no token of that name.</exception>
    public void Remove(string name)
    {
        IReadOnlyList<AccessToken> known = Read();
        AccessToken[] left = [.. known.Where(one => one.Name != name)];
        if (left.Length == known.Count)
            throw new RefusedException($"there is no token '{name}'; there are: {string.Join(", ", known.Select(one => one.Name))}");
        Write(left);
    }

    private void Write(AccessToken[] tokens)
    {
        string fresh = $"{FullPath}.new";
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(FullPath)!);
            File.Delete(fresh);
            var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
            if (!OperatingSystem.IsWindows())
                options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
            using (var file = new FileStream(fresh, options))
            {
                JsonSerializer.Serialize(file, tokens, Api.ApiJson.Options);
                file.Flush(flushToDisk: true);
            }

            // In one step, so that a daemon that reads meanwhile finds the old list or the new one.
            File.Move(fresh, FullPath, overwrite: true);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the tokens cannot be written to {FullPath}: {error.Message} Run this as the account that serves.");
        }
    }
}
