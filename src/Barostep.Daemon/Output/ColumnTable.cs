namespace Barostep.Daemon.Output;

/// <summary>A table of plain text for people: columns as wide as their longest cell, a rule below the head.</summary>
/// <param name="heads">Head of each column; one that ends in <c>&gt;</c> is set flush right.</param>
internal sealed class ColumnTable(params string[] heads)
{
    private const string Gap = "  ";

    private readonly string[] _titles = [.. heads.Select(head => head.TrimEnd('>'))];
    private readonly bool[] _right = [.. heads.Select(head => head.EndsWith('>'))];
    private readonly List<string[]> _rows = [];

    public void Add(params string[] cells) => _rows.Add(cells);

    public void Write(TextWriter output)
    {
        int[] widths = [.. _titles.Select((title, column) => _rows.Select(row => row[column].Length).Append(title.Length).Max())];
        WriteRow(output, _titles, widths);
        output.WriteLine(string.Join(Gap, widths.Select(width => new string('─', width))));
        foreach (string[] row in _rows)
            WriteRow(output, row, widths);
    }

    private void WriteRow(TextWriter output, string[] cells, int[] widths) => output.WriteLine(
        string.Join(Gap, cells.Select((cell, column) => _right[column] ? cell.PadLeft(widths[column]) : cell.PadRight(widths[column]))).TrimEnd());
}
