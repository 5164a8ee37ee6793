using System.CommandLine;
using Barostep.Certificates;
using Barostep.Configuration;
using Barostep.Daemon.Output;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary><c>certificates</c>: numbered, drafted, signed off, amended; nothing is overwritten.</summary>
internal static class CertificatesCommand
{
    public static Command Build(CommandIo io) => new("certificates", "Issues, lists, shows, signs and amends calibration certificates.")
    {
        Issue(io), List(io), Show(io), SignOff(io), Amend(io), Verify(io),
    };

    private static Command Issue(CommandIo io)
    {
        var state = new StateFolder();
        Option<string?> run = new("--run") { Description = "run to be certified: its id, or the beginning of it" };
        Option<string?> job = new("--job") { Description = "job to be certified: as found, and as left where it was adjusted" };
        Option<string> by = new("--by") { Description = "who has it made", Required = true };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("issue", "Makes a numbered draft of a run or a job; 'sign-off' makes it a certificate.") { run, job, by, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IReadOnlyList<string> runs = (arguments.GetValue(run), arguments.GetValue(job)) switch
            {
                ({ } id, null) => [store.Find(id)],
                (null, { } name) => RunsOf(store, name),
                _ => throw new RefusedException("write what is to be certified: --run ID or --job NAME"),
            };
            Told(io, arguments.GetValue(json), new CertificateDesk(store, state.Laboratory(arguments)).Issue(runs, arguments.GetValue(by)!));
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command Amend(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> number = Number();
        Option<string> by = new("--by") { Description = "who has it made", Required = true };
        Option<string> reason = new("--reason") { Description = "why the certificate is replaced; stands on the new one", Required = true };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("amend", "Makes a new draft in the place of a certificate, with customer and receipt as the job's file has them now; the old one stays readable.") { number, by, reason, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IssuedCertificate earlier = Existing(store, arguments.GetValue(number)!);
            var amends = new ReplacedCertificate(earlier.Number, arguments.GetValue(reason)!);
            Told(io, arguments.GetValue(json), new CertificateDesk(store, state.Laboratory(arguments)).Issue(earlier.RunIds, arguments.GetValue(by)!, amends, state.Jobs(arguments)));
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command SignOff(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> number = Number();
        Option<string> by = new("--by") { Description = "who releases it", Required = true };
        Option<string> function = new("--function") { Description = "function of that person in the laboratory", Required = true };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("sign-off", "Releases a draft: a named person stands for it.") { number, by, function, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IssuedCertificate certificate = Existing(store, arguments.GetValue(number)!);
            Told(io, arguments.GetValue(json), new CertificateDesk(store, state.Laboratory(arguments)).SignOff(certificate, arguments.GetValue(by)!, arguments.GetValue(function)!));
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command List(CommandIo io)
    {
        var state = new StateFolder();
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("list", "Lists certificates, the newest first.") { json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IReadOnlyList<IssuedCertificate> all = store.Certificates.List();
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, all.Select(Of));
                return ExitCodes.Done;
            }

            var table = new ColumnTable("number", "made, UTC", "by", "runs", "state");
            foreach (IssuedCertificate one in all)
                table.Add(one.Number, RecordText.Moment(one.IssuedUtc), one.IssuedBy, string.Join(", ", one.RunIds.Select(RecordText.Id)), StateOf(one));
            table.Write(io.Out);
            io.Error.WriteLine($"{all.Count} certificates");
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command Show(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> number = Number();
        Option<string?> format = new("--format") { Description = "pdf or xml: the bytes as they are kept; json, csv or results: made from the same" };
        format.AcceptOnlyFromAmong("pdf", "xml", "json", "csv", "results");
        Option<string?> output = new("--out") { Description = "file to write" };
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("show", "Shows a certificate's state, or writes one of its files.") { number, format, output, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IssuedCertificate certificate = Existing(store, arguments.GetValue(number)!);
            if (arguments.GetValue(format) is not { } wanted)
                Describe(io, arguments.GetValue(json), certificate);
            else
                CertificateFile.Give(io, CertificateDesk.Bytes(store, certificate, wanted), wanted, arguments.GetValue(output));
            return ExitCodes.Done;
        }));
        return command;
    }

    private static Command Verify(CommandIo io)
    {
        var state = new StateFolder();
        Argument<string> number = Number();
        Option<bool> json = Options.Json();
        Command command = state.With(new Command("verify", "Makes a certificate again from the records and holds it against what is kept.") { number, json });
        command.SetAction(arguments => state.Use(arguments, store =>
        {
            IssuedCertificate certificate = Existing(store, arguments.GetValue(number)!);
            byte[] kept = CertificateDesk.Bytes(store, certificate, "xml");
            bool same = kept.AsSpan().SequenceEqual(CertificateDesk.Written(CertificateDesk.Remade(store, certificate), "xml"));
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, new { number = certificate.Number, filesAsKept = true, sameAgain = same });
                return same ? ExitCodes.Done : ExitCodes.NotVerified;
            }

            io.Out.WriteLine(same
                ? $"certificate {certificate.Number}: its files are as kept, and its runs give the same XML again"
                : $"certificate {certificate.Number}: its files are as kept, but its runs give another XML now; this program evaluates differently from the one that made it");
            return same ? ExitCodes.Done : ExitCodes.NotVerified;
        }));
        return command;
    }

    private static IReadOnlyList<string> RunsOf(RunStore store, string name)
    {
        JobRecord job = store.Jobs.Get(name) ?? throw new RunStoreException($"no run was made for a job '{name}'; 'runs list' shows the jobs of the runs");
        if (job.AsFound is not { } found)
            throw new RunStoreException($"job {name} has no completed run as found; calibrate the device first");
        if (job.AsLeft is { } left)
            return [found.RunId, left.RunId];
        return job.Adjustments.Count == 0
            ? [found.RunId]
            : throw new RunStoreException($"job {name} was adjusted and not calibrated since; run it as left first");
    }

    private static void Told(CommandIo io, bool asJson, IssuedCertificate certificate)
    {
        Describe(io, asJson, certificate);
        if (certificate.SignedOff is null)
            io.Error.WriteLine($"a draft: look at it with 'certificates show {certificate.Number} --format pdf --out FILE', then 'certificates sign-off {certificate.Number}'");
    }

    private static void Describe(CommandIo io, bool asJson, IssuedCertificate certificate)
    {
        if (asJson)
        {
            Json.Write(io.Out, Of(certificate));
            return;
        }

        io.Out.WriteLine($"certificate {certificate.Number}, {StateOf(certificate)}");
        io.Out.WriteLine($"made {RecordText.Moment(certificate.IssuedUtc)} UTC by {certificate.IssuedBy} of {string.Join(" and ", certificate.RunIds)}");
        if (certificate.Amends is { } earlier)
            io.Out.WriteLine($"replaces {earlier.Number}: {earlier.Reason}");
        foreach (StoredDocument document in certificate.Documents)
            io.Out.WriteLine($"{RunListing.Camel(document.Format),-7} {document.Length,8} bytes  SHA-256 {document.Sha256}");
    }

    private static object Of(IssuedCertificate certificate) => new
    {
        number = certificate.Number,
        state = StateOf(certificate),
        issuedUtc = certificate.IssuedUtc,
        issuedBy = certificate.IssuedBy,
        runs = certificate.RunIds,
        amends = certificate.Amends?.Number,
        replacedBy = certificate.ReplacedBy,
        signedOffUtc = certificate.SignedOff?.SignedUtc,
        signedOffBy = certificate.SignedOff?.By,
        documents = certificate.Documents.Select(one => new { format = RunListing.Camel(one.Format), bytes = one.Length, sha256 = one.Sha256 }),
    };

    private static string StateOf(IssuedCertificate certificate) =>
        certificate.ReplacedBy is { } later ? $"replaced by {later}"
        : certificate.SignedOff is { } signed ? $"signed off {RecordText.Moment(signed.SignedUtc)} UTC by {signed.By}, {signed.Function}"
        : "draft";

    private static Argument<string> Number() => new("number") { Description = "number of the certificate" };

    private static IssuedCertificate Existing(RunStore store, string number) =>
        store.Certificates.Get(number) ?? throw new RunStoreException($"there is no certificate {number}; 'certificates list' shows those that there are");
}
