using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Barostep.Daemon.Output;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary><c>devices</c>: devices under test over the years.</summary>
internal static class DevicesCommand
{
    public const int UsualMostMonths = 24;

    public static Command Build(CommandIo io) => new("devices", "Lists devices under test, their history and when they are due.")
    {
        List(io), History(io), Due(io),
    };

    private static Command List(CommandIo io)
    {
        var state = new StateFolder();
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("list", "Lists every device that was ever calibrated here.") { json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IReadOnlyList<DeviceSummary> devices = store.Devices.List();
            if (arguments.GetValue(json))
                io.Out.WriteLine(JsonSerializer.Serialize(devices.Select(Of), Json.Indented));
            else
                Write(io, devices, DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime));
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command History(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> name = Name();
        Option<int> most = new("--most-months")
        {
            Description = "longest interval that may be proposed",
            DefaultValueFactory = _ => UsualMostMonths,
        };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("history", "Shows one device's runs, its drift, and how long it may go until the next.") { name, most, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            int months = arguments.GetValue(most);
            if (months < 1)
                throw new RefusedException($"--most-months {months} leaves no interval; write 1 or more");
            var history = DeviceHistoryReport.Of(store, StateFolder.Device(store, arguments.GetValue(name)!), months);
            if (arguments.GetValue(json))
                io.Out.WriteLine(JsonSerializer.Serialize(history.ForJson(), Json.Indented));
            else
                history.Write(io);
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command Due(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> name = Name();
        Argument<string> day = new("day") { Description = "year-month-day on which it is due" };
        Option<string> by = new("--by") { Description = "who decides it", Required = true };
        Option<string> reason = new("--reason") { Description = "why", Required = true };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("due", "Notes when a device is due next. It stays in the workshop and goes on no certificate.") { name, day, by, reason, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            string written = arguments.GetValue(day)!;
            if (!DateOnly.TryParseExact(written, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly on))
                throw new RefusedException($"'{written}' is no day; write year-month-day, for example 2027-01-31");
            DeviceIdentity device = StateFolder.Device(store, arguments.GetValue(name)!);
            store.Devices.SetDue(device, new DeviceDue(on, TimeProvider.System.GetUtcNow(), arguments.GetValue(by)!, arguments.GetValue(reason)!));
            if (arguments.GetValue(json))
                Json.Write(io.Out, new { manufacturer = device.Manufacturer, model = device.Model, serialNumber = device.SerialNumber, dueOn = on });
            io.Error.WriteLine($"{device} is due on {written}");
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Argument<string> Name() => new("name") { Description = "name, tag or serial number of the device" };

    private static void Write(CommandIo io, IReadOnlyList<DeviceSummary> devices, DateOnly today)
    {
        var table = new ColumnTable("device", "tag", "manufacturer, model", "serial", "runs>", "last run, UTC", "verdict", "due");
        foreach (DeviceSummary device in devices)
        {
            table.Add(
                device.Definition.Name, device.Definition.Tag, $"{device.Definition.Manufacturer} {device.Definition.Model}",
                device.Definition.SerialNumber, $"{device.Runs}", RecordText.Moment(device.LastRunUtc),
                RecordText.Verdict(device.LastConformity),
                $"{RecordText.Day(device.Due?.On)}{(device.Due?.On < today ? " OVERDUE" : string.Empty)}");
        }

        table.Write(io.Out);
        io.Error.WriteLine($"{devices.Count} devices");
    }

    public static object Of(DeviceSummary device) => new
    {
        name = device.Definition.Name,
        tag = device.Definition.Tag,
        manufacturer = device.Definition.Manufacturer,
        model = device.Definition.Model,
        serialNumber = device.Definition.SerialNumber,
        runs = device.Runs,
        lastRunUtc = device.LastRunUtc,
        lastVerdict = RunListing.Camel(device.LastConformity),
        dueOn = device.Due?.On,
    };
}
