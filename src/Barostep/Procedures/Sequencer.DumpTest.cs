using Barostep.Control;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <content>The guard's test of the dump valve, which goes before everything else that makes pressure.</content>
public sealed partial class Sequencer
{
    /// <summary>Waits for the test to end, and gives the run up where it did not pass; null where there is nothing to wait for.</summary>
    private Progress? DumpTested(SequencerState state, in SequencerInput seen)
    {
        switch (seen.Bench.DumpTest)
        {
            case DumpTestState.Running:
                return VentGivenUp(state, seen) ? null : Stay(state);
            case DumpTestState.Denied:
                RunOutcome outcome = InstrumentStandsInTheWay(seen.Bench) ? RunOutcome.InstrumentFailure : RunOutcome.Aborted;
                return End(state, RunTrigger.Abort, outcome, DescribeDenial(seen.Bench), seen);
            case DumpTestState.NotReached:
                return End(state, RunTrigger.Abort, RunOutcome.Refused, "the pressure for the test of the dump valve was not reached", seen);
            case DumpTestState.Leaks:
                return End(state, RunTrigger.Abort, RunOutcome.Refused, "the bench leaks too fast to test its dump valve", seen);
            default:
                return null;
        }
    }

    /// <summary>A valve that stays shut in its test is found before the run, whatever the kernel makes of it.</summary>
    private static RunOutcome OutcomeOfTrip(in BenchSnapshot bench) =>
        bench is { DumpTest: DumpTestState.Ended, FirstCause: Cause.RelayStuckShut } ? RunOutcome.Refused : OutcomeOf(bench.FirstCause);
}
