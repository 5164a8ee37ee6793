namespace Barostep.Records.Schema;

/// <summary>Triggers that let a table grow and nothing else.</summary>
internal static class AppendOnly
{
    /// <summary>No row is changed, deleted or replaced.</summary>
    public static IEnumerable<string> Guards(params (string Table, string[] Key)[] tables) =>
        tables.SelectMany(table => new[]
        {
            $"""
            CREATE TRIGGER {table.Table}_stay BEFORE UPDATE ON {table.Table} BEGIN SELECT RAISE(ABORT, 'records are never changed'); END;

            """,
            $"""
            CREATE TRIGGER {table.Table}_keep BEFORE DELETE ON {table.Table} BEGIN SELECT RAISE(ABORT, 'records are never deleted'); END;

            """,
        }.Concat(NoReplacement(table)));

    /// <summary>No row takes the place of another.</summary>
    /// <remarks>INSERT OR REPLACE deletes the old row without running delete triggers, unless recursive_triggers is on.</remarks>
    public static IEnumerable<string> NoReplacement(params (string Table, string[] Key)[] tables) =>
        tables.Select(table => $"""
            CREATE TRIGGER {table.Table}_once_by_{string.Join('_', table.Key)} BEFORE INSERT ON {table.Table}
            WHEN EXISTS (SELECT 1 FROM {table.Table} WHERE {string.Join(" AND ", table.Key.Select(column => $"{column} = NEW.{column}"))})
            BEGIN SELECT RAISE(ABORT, 'records are never replaced'); END;

            """);
}
