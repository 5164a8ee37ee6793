using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Daemon.Output;

/// <summary>Signs the head of a journal that has come to an orderly end, so that its end cannot be cut off unseen.</summary>
/// <remarks>
/// The key is made at the first start and stays in the state folder, readable by its owner alone; the public half lies
/// beside it, to be handed to whoever verifies. A key on the same machine shows tampering by others, not by its owner.
/// </remarks>
internal sealed class JournalSigner
{
    /// <summary>Name of the private key in the state folder.</summary>
    public const string PrivateName = "journal-key.pem";

    /// <summary>Name of the public key beside it.</summary>
    public const string PublicName = "journal-key.public.pem";

    private readonly string _privatePem;

    private JournalSigner(string privatePem, string publicPath)
    {
        _privatePem = privatePem;
        PublicPath = publicPath;
    }

    /// <summary>Where the public half lies.</summary>
    public string PublicPath { get; }

    /// <summary>Takes the folder's key, or makes one.</summary>
    /// <exception cref="RefusedException">The folder cannot be written, or what lies there is no key.</exception>
    public static JournalSigner InFolder(string folder)
    {
        string privatePath = Path.Combine(folder, PrivateName);
        string publicPath = Path.Combine(folder, PublicName);
        try
        {
            Directory.CreateDirectory(folder);
            if (!File.Exists(privatePath))
                Make(privatePath, publicPath);
            var signer = new JournalSigner(File.ReadAllText(privatePath), publicPath);
            SignedHead.Sign(JournalHead.Genesis, signer._privatePem);
            return signer;
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the journal's key {privatePath} cannot be made or read: {problem.Message} Let this user write the state folder.");
        }
        catch (Exception problem) when (problem is ArgumentException or System.Security.Cryptography.CryptographicException)
        {
            throw new RefusedException($"{privatePath} holds no private key; move it away, and a new one is made. Journals signed before verify with the old public key only.");
        }
    }

    /// <summary>Writes the signed head beside a journal: <c>journal.jsonl</c> gets <c>journal.head.json</c>.</summary>
    public void Sign(JournalHead head, string journalPath)
    {
        string path = HeadPathOf(journalPath);
        string partial = path + ".part";
        File.WriteAllText(partial, SignedHead.Sign(head, _privatePem).ToJson());
        File.Move(partial, path, overwrite: true);
    }

    /// <summary>Where the signed head of a journal lies.</summary>
    public static string HeadPathOf(string journalPath) => Path.ChangeExtension(journalPath, ".head.json");

    private static void Make(string privatePath, string publicPath)
    {
        (string privatePem, string publicPem) = SignedHead.CreateKey();
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
            options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        using (var writer = new StreamWriter(privatePath, options))
            writer.Write(privatePem);
        File.WriteAllText(publicPath, publicPem);
    }
}
