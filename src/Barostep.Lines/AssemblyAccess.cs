using System.Runtime.CompilerServices;

[assembly: InternalsVisibleTo("Barostep.Tests")]
[assembly: InternalsVisibleTo("barostep-guard")]
