using System.CommandLine;
using Barostep.Daemon.Output;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary><c>backup</c>: a copy of the records that is known to be good.</summary>
internal static class BackupCommand
{
    public static Command Build(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> file = new("file") { Description = "backup to write, or with --check to read" };
        Option<bool> check = new("--check") { Description = "reads an existing backup through, as a restore would need it, and writes nothing" };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("backup", "Copies the records, also while a run is written, and reads the copy through.") { file, check, json });
        command.SetAction(arguments => StateFolder.Told(() =>
        {
            string path = arguments.GetValue(file)!;
            bool checking = arguments.GetValue(check);
            StoreContents contents = checking ? StoreBackup.Check(path) : StoreBackup.Write(state.StorePath(arguments), path);
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, new { file = path, bytes = contents.Bytes, schemaVersion = contents.SchemaVersion, rows = contents.Rows });
                return ExitCodes.Done;
            }

            var table = new ColumnTable("table", "rows>");
            foreach ((string name, long rows) in contents.Rows)
                table.Add(name, $"{rows}");
            table.Write(io.Out);
            io.Error.WriteLine(
                $"{path}: {contents.Bytes} bytes, schema version {contents.SchemaVersion}, "
                + (checking ? "good. To restore it, stop barostep and put it in the place of records.sqlite" : "written and read through"));
            return ExitCodes.Done;
        }));
        return command;
    }
}
