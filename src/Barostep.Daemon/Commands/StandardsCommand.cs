using System.CommandLine;
using Barostep.Configuration;
using Barostep.Daemon.Output;

namespace Barostep.Daemon.Commands;

/// <summary><c>standards</c>: reference standards over the years, and what rests on them.</summary>
internal static class StandardsCommand
{
    public static Command Build(CommandIo io) => new("standards", "Lists reference standards, and the runs that rest on a certificate.")
    {
        List(io), Runs(io),
    };

    private static Command List(CommandIo io)
    {
        var state = new StateFolder();
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("list", "Lists every standard that a run used, with each of its certificates.") { json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            DateOnly today = DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime);
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, store.Standards.List().Select(standard => Of(standard, today)));
                return ExitCodes.Done;
            }

            var table = new ColumnTable("standard", "manufacturer, model", "serial", "certificate", "by", "calibrated", "due");
            foreach (ReferenceStandard standard in store.Standards.List())
            {
                table.Add(
                    standard.Name, $"{standard.Manufacturer} {standard.Model}", standard.SerialNumber, standard.CertificateNumber,
                    standard.CalibratedBy, RecordText.Day(standard.CalibratedOn),
                    $"{RecordText.Day(standard.DueOn)}{(standard.IsOverdue(today) ? " past" : string.Empty)}");
            }

            table.Write(io.Out);
            return ExitCodes.Done;
        }));
        return command;
    }

    private static object Of(ReferenceStandard standard, DateOnly today) => new
    {
        name = standard.Name,
        manufacturer = standard.Manufacturer,
        model = standard.Model,
        serialNumber = standard.SerialNumber,
        certificate = standard.CertificateNumber,
        calibratedBy = standard.CalibratedBy,
        calibratedOn = standard.CalibratedOn,
        dueOn = standard.DueOn,
        overdue = standard.IsOverdue(today),
    };

    private static Command Runs(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> certificate = new("certificate") { Description = "number of a standard's certificate" };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("runs", "Lists the runs that rest on a certificate: those in question if it was wrong.") { certificate, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IReadOnlyList<string> runs = store.Standards.RunsWith(arguments.GetValue(certificate)!);
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, runs);
                return ExitCodes.Done;
            }

            foreach (string run in runs)
                io.Out.WriteLine(run);
            io.Error.WriteLine($"{runs.Count} runs rest on certificate {arguments.GetValue(certificate)}");
            return ExitCodes.Done;
        }));
        return command;
    }
}
