namespace Barostep.Daemon.Access;

/// <summary>Secrets that lie in files of their own, never in barostep.toml.</summary>
internal static class SecretFile
{
    /// <summary>Set by the service manager where it hands over secrets (LoadCredential=).</summary>
    private const string CredentialsVariable = "CREDENTIALS_DIRECTORY";

    /// <summary>A file named in barostep.toml: among the service manager's credentials where there is one of that name, else below the configuration.</summary>
    public static string PathOf(string folder, string written) =>
        Environment.GetEnvironmentVariable(CredentialsVariable) is { Length: > 0 } credentials && File.Exists(Path.Combine(credentials, written))
            ? Path.Combine(credentials, written)
            : Path.Combine(folder, written);

    /// <summary>Its first line.</summary>
    /// <exception cref="RefusedException">It cannot be read, is empty, or everybody can read it.</exception>
    public static string Read(string path)
    {
        DemandPrivate(path);
        try
        {
            string first = File.ReadLines(path).FirstOrDefault(string.Empty).Trim();
            return first.Length > 0 ? first : throw new RefusedException($"{path} is empty; write the secret as its first line");
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the secret in {path} cannot be read: {error.Message}");
        }
    }

    /// <exception cref="RefusedException">There is no such file, or everybody can read it.</exception>
    public static void DemandPrivate(string path)
    {
        if (!File.Exists(path))
            throw new RefusedException($"there is no file {path}, which barostep.toml names for a secret");
        if (!OperatingSystem.IsWindows() && (File.GetUnixFileMode(path) & (UnixFileMode.OtherRead | UnixFileMode.OtherWrite)) != 0)
            throw new RefusedException($"everybody on this machine can read or write {path}, which holds a secret; run chmod o-rwx {path}");
    }
}
