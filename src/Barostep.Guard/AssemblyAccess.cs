using System.Runtime.CompilerServices;

// The simulated world works its cycle by hand.
[assembly: InternalsVisibleTo("barostep")]
[assembly: InternalsVisibleTo("Barostep.Tests")]
