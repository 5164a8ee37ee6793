using System.Globalization;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Single statements with their values bound in order as $1, $2, …</summary>
internal static class SqliteStatements
{
    public static int Execute(this SqliteConnection connection, string sql, params object?[] values)
    {
        using SqliteCommand command = connection.Statement(sql, values);
        return command.ExecuteNonQuery();
    }

    /// <summary>The whole number that the statement gives; 0 where it gives no row.</summary>
    public static long Number(this SqliteConnection connection, string sql, params object?[] values)
    {
        using SqliteCommand command = connection.Statement(sql, values);
        return Convert.ToInt64(command.ExecuteScalar() ?? 0L, CultureInfo.InvariantCulture);
    }

    public static List<T> Rows<T>(this SqliteConnection connection, Func<SqliteDataReader, T> row, string sql, params object?[] values)
    {
        using SqliteCommand command = connection.Statement(sql, values);
        using SqliteDataReader reader = command.ExecuteReader();
        List<T> rows = [];
        while (reader.Read())
            rows.Add(row(reader));
        return rows;
    }

    /// <summary>A statement to be run several times, each time after <see cref="Bind"/>.</summary>
    public static SqliteCommand Statement(this SqliteConnection connection, string sql, object?[] values)
    {
        SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // Every text is a constant of this folder; whatever comes from outside is bound.
        command.CommandText = sql;
#pragma warning restore CA2100
        for (int i = 0; i < values.Length; i++)
            command.Parameters.AddWithValue(string.Create(CultureInfo.InvariantCulture, $"${i + 1}"), values[i] ?? DBNull.Value);
        return command;
    }

    public static void Bind(this SqliteCommand command, params object?[] values)
    {
        for (int i = 0; i < values.Length; i++)
            command.Parameters[i].Value = values[i] ?? DBNull.Value;
    }

    public static string? TextOrNull(this SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetString(column);

    public static double? NumberOrNull(this SqliteDataReader row, int column) => row.IsDBNull(column) ? null : row.GetDouble(column);
}
