namespace Barostep.Tests.Faults;

/// <summary>A process that wants all of one processor.</summary>
internal static class BusyProcess
{
    public static ChildProgram Start(string folder) =>
        ChildProgram.StartUnder(["sh", "-c", "while :; do :; done", "sh"], "busy", folder);
}
