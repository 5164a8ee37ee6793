using System.CommandLine;
using Barostep.Daemon;
using Barostep.Daemon.Commands;

return await CommandLine.RunAsync(args, CommandIo.Console);
