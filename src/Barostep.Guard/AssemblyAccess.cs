using System.Runtime.CompilerServices;

[assembly: InternalsVisibleTo("Barostep.Tests")]
