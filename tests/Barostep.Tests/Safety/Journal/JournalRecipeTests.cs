using System.Diagnostics;
using System.Text;
using Barostep.Safety;
using Barostep.Tests.Certificates;

namespace Barostep.Tests.Safety.Journal;

/// <summary>Runs the recipes of docs/journal-format.md as they are printed there.</summary>
public sealed class JournalRecipeTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("barostep-journal-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [ToolFact("jq")]
    public void The_printed_recipe_verifies_an_intact_journal()
    {
        SampleJournal journal = SampleJournal.OfAllKinds();
        (int code, string output) = Run("verify.sh", Write("journal.jsonl", journal.Bytes));
        Assert.Equal(0, code);
        Assert.Equal($"head: entry {journal.Chain.Head.Sequence}, {journal.Chain.Head.Hash}", output.Trim());
    }

    [ToolFact("jq")]
    public void The_printed_recipe_names_the_entry_that_was_edited()
    {
        byte[] bytes = SampleJournal.OfAllKinds().Bytes;
        string text = Encoding.ASCII.GetString(bytes);
        (int code, string output) = Run("verify.sh", Write("edited.jsonl", Encoding.ASCII.GetBytes(text.Replace("step 1 of 10", "step 2 of 10", StringComparison.Ordinal))));
        Assert.Equal((1, "entry 5 does not fit"), (code, output.Trim()));

        string[] lines = text.Split('\n');
        (code, output) = Run("verify.sh", Write("dropped.jsonl", Encoding.ASCII.GetBytes(string.Join('\n', lines.Where((_, index) => index != 6)))));
        Assert.Equal((1, "entry 7 does not fit"), (code, output.Trim()));

        (code, output) = Run("verify.sh", Write("torn.jsonl", bytes[..^30]));
        Assert.Equal((1, $"entry {lines.Length - 1} does not fit"), (code, output.Trim()));
    }

    [ToolFact("jq")]
    public void One_entry_is_checked_by_hand()
    {
        SampleJournal journal = SampleJournal.OfAllKinds();
        (int code, string output) = Run("one.sh", Write("journal.jsonl", journal.Bytes));
        Assert.Equal(0, code);
        Assert.StartsWith(SampleJournal.Reader(journal.Bytes).ReadAll().ElementAt(4).Hash, output, StringComparison.Ordinal);
    }

    [ToolFact("openssl")]
    public void The_printed_recipe_verifies_a_signed_head()
    {
        (string privatePem, string publicPem) = SignedHead.CreateKey();
        JournalHead head = SampleJournal.OfAllKinds().Chain.Head;
        string json = SignedHead.Sign(head, privatePem).ToJson();
        string key = Write("key.pem", Encoding.ASCII.GetBytes(publicPem));

        Assert.Equal(0, Run("head.sh", Write("head.json", Encoding.ASCII.GetBytes(json)), key).Code);
        string moved = json.Replace($"\"n\":{head.Sequence}", $"\"n\":{head.Sequence - 1}", StringComparison.Ordinal);
        Assert.NotEqual(0, Run("head.sh", Write("moved.json", Encoding.ASCII.GetBytes(moved)), key).Code);
    }

    private string Write(string name, byte[] bytes)
    {
        string path = Path.Combine(_folder, name);
        File.WriteAllBytes(path, bytes);
        return path;
    }

    private (int Code, string Output) Run(string recipe, params string[] arguments)
    {
        string script = Write(recipe, Encoding.UTF8.GetBytes(Recipe(recipe)));
        using Process process = Process.Start(new ProcessStartInfo("bash", [script, .. arguments])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        })!;
        string errors = "";
        process.ErrorDataReceived += (_, line) => errors += line.Data;
        process.BeginErrorReadLine();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.DoesNotContain("not found", errors, StringComparison.Ordinal);
        return (process.ExitCode, output);
    }

    private static string Recipe(string name)
    {
        string text = File.ReadAllText(Path.Combine(RepositoryRoot(), "docs", "journal-format.md"));
        string fence = $"```bash {name}\n";
        int start = text.IndexOf(fence, StringComparison.Ordinal) + fence.Length;
        return text[start..text.IndexOf("```", start, StringComparison.Ordinal)];
    }

    private static string RepositoryRoot()
    {
        DirectoryInfo? folder = new(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "Driver.sln")))
            folder = folder.Parent;
        return folder?.FullName ?? throw new InvalidOperationException("The tests do not run from within the repository.");
    }
}
