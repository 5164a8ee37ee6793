using Barostep.Tests.Certificates;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Browser;

/// <summary>Runs where axe-core has been fetched and the browser is installed; without axe-core skipped, in CI too.</summary>
internal sealed class AxeFactAttribute : FactAttribute
{
    public AxeFactAttribute()
    {
        if (!File.Exists(Script) || !ExternalTool.Exists(OperatorBrowser.Program))
            Skip = $"{OperatorBrowser.Program} or axe-core is not installed here; DEVELOPERS.md tells how";
    }

    /// <summary>Where .ci/run puts it: its licence is none that this repository's files have, so it stays outside of them.</summary>
    public static string Script { get; } = Path.Combine(RepositoryPaths.Root, "artifacts", "axe", "node_modules", "axe-core", "axe.min.js");
}
