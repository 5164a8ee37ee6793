using System.Globalization;
using Microsoft.Data.Sqlite;

namespace Barostep.Records;

/// <summary>Single statements with their values bound in order as $1, $2, …</summary>
internal static class SqliteStatements
{
    public static int Execute(this SqliteConnection connection, string sql, params object?[] values)
    {
        using SqliteCommand command = connection.Prepared(sql, values);
        return command.ExecuteNonQuery();
    }

    /// <summary>The whole number that the statement gives; 0 where it gives no row.</summary>
    public static long Number(this SqliteConnection connection, string sql, params object?[] values)
    {
        using SqliteCommand command = connection.Prepared(sql, values);
        return Convert.ToInt64(command.ExecuteScalar() ?? 0L, CultureInfo.InvariantCulture);
    }

    public static List<T> Rows<T>(this SqliteConnection connection, Func<SqliteDataReader, T> row, string sql, params object?[] values)
    {
        using SqliteCommand command = connection.Prepared(sql, values);
        using SqliteDataReader reader = command.ExecuteReader();
        List<T> rows = [];
        while (reader.Read())
            rows.Add(row(reader));
        return rows;
    }

    private static SqliteCommand Prepared(this SqliteConnection connection, string sql, object?[] values)
    {
        SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // Every text is a constant of this folder; whatever comes from outside is bound.
        command.CommandText = sql;
#pragma warning restore CA2100
        for (int i = 0; i < values.Length; i++)
            command.Parameters.AddWithValue(string.Create(CultureInfo.InvariantCulture, $"${i + 1}"), values[i] ?? DBNull.Value);
        return command;
    }
}
