namespace Barostep.Tests.Processes;

/// <summary>A built program under the name that it has where it is installed.</summary>
internal static class Shim
{
    /// <summary>Writes a script into a folder that goes into the search path.</summary>
    public static void Write(string folder, string name, string program)
    {
        string path = Path.Combine(Directory.CreateDirectory(folder).FullName, name);
        File.WriteAllText(path, $"#!/bin/sh\nexec '{Environment.GetEnvironmentVariable("DOTNET_HOST_PATH") ?? "dotnet"}' '{program}' \"$@\"\n");
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserExecute);
    }
}
