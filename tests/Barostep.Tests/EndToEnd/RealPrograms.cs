namespace Barostep.Tests.EndToEnd;

/// <summary>Tests that start the real programs: one after another, with nothing else beside them.</summary>
[CollectionDefinition(Name, DisableParallelization = true)]
public sealed class RealPrograms : ICollectionFixture<RealTimeRuns>
{
    public const string Name = "End to end";
}
