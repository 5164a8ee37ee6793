using System.CommandLine;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Daemon.Commands;

/// <summary><c>budget</c>: the uncertainty of any measurement whose model stands in a file.</summary>
internal static class BudgetCommand
{
    public static Command Build(CommandIo io)
    {
        Argument<string> file = new("FILE") { Description = "budget file (TOML): a formula or sensitivities, and the inputs" };
        Option<bool> monteCarlo = new("--monte-carlo") { Description = "also by Monte Carlo (JCGM 101), and whether the budget agrees with it" };
        Option<ulong> seed = new("--seed") { Description = "seed of the Monte Carlo run; the same seed gives the same figures", DefaultValueFactory = _ => 1 };
        Option<bool> json = Options.Json();
        var command = new Command("budget", "Prints an uncertainty budget: combined and expanded uncertainty of a measurement model.") { file, monteCarlo, seed, json };
        command.SetAction(arguments =>
        {
            string path = arguments.GetValue(file)!;
            LoadedBudget loaded = BudgetFile.Read(path, InputFile.ReadText(path));
            if (loaded.Budget is not { } definition)
                throw new RefusedException(string.Join('\n', loaded.Errors));
            UncertaintyBudget budget = definition.Model.Budget(definition.SecondOrder);
            MonteCarloResult? found = arguments.GetValue(monteCarlo) ? Propagate(path, definition, arguments.GetValue(seed)) : null;
            if (arguments.GetValue(json))
                io.Out.WriteLine(InputFile.Written(stream => BudgetJson.Write(stream, definition, budget, found)));
            else
                BudgetTable.Write(io.Out, definition, budget, found);
            return ExitCodes.Done;
        });
        return command;
    }

    private static MonteCarloResult Propagate(string path, BudgetDefinition definition, ulong seed)
    {
        try
        {
            return MonteCarlo.Propagate(definition.Model, new MonteCarloOptions(definition.CoverageProbability, seed, definition.MonteCarloDigits));
        }
        catch (ArgumentException impossible)
        {
            throw new RefusedException($"{path}: {impossible.Message}");
        }
    }
}
