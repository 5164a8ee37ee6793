using System.Runtime.CompilerServices;

// Its benchmarks stand at the instruments' end of a terminal.
[assembly: InternalsVisibleTo("barostep")]
