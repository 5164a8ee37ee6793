using System.Globalization;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using PdfSharp.Drawing;

namespace Barostep.Certificates.Pdf;

/// <summary>The results of one series as a table; figures stand under each other by their decimal point.</summary>
internal sealed class ResultsTable
{
    private const double RowHeight = 12.5;

    /// <summary>Room between two columns below which a smaller font is taken.</summary>
    private const double LeastGap = 3;

    private const double HeadHeight = 27;

    private readonly PageFlow _flow;
    private readonly CertificateSeries _series;
    private readonly List<Column> _columns;
    private (XFont Regular, XFont Strong) _cell;

    private ResultsTable(PageFlow flow, CertificateItem item, CertificateSeries series)
    {
        _flow = flow;
        _series = series;
        _columns = ColumnsFor(item, series);
        foreach ((XFont, XFont) size in Style.Cells)
        {
            _cell = size;
            if (Measure() >= LeastGap)
                break;
        }
    }

    public static void Draw(PageFlow flow, CertificateItem item, CertificateSeries series) => new ResultsTable(flow, item, series).Draw();

    /// <summary>A figure as it is printed: with a true minus sign.</summary>
    public static string Figure(decimal? value, bool signed = false)
    {
        if (value is not { } number)
            return ResultFormat.Unknown;
        string text = number.ToString(CultureInfo.InvariantCulture).Replace('-', '−');
        return signed && number > 0 ? $"+{text}" : text;
    }

    private static List<Column> ColumnsFor(CertificateItem item, CertificateSeries series)
    {
        string unit = $"{item.Unit} {(item.Reference == PressureReference.Gauge ? "g" : "abs")}";
        List<Column> columns = [];
        if (series.Points.Any(point => point.Cycle > 1))
            columns.Add(new("cycle", "", point => point.Cycle.ToString(CultureInfo.InvariantCulture)));
        columns.AddRange(
        [
            new("point", "", point => point.Index.ToString(CultureInfo.InvariantCulture)),
            new("series", "", point => Wording.Direction(point.Direction), IsText: true),
            new("nominal", unit, point => Figure(point.Shown.Nominal)),
            new("reference", unit, point => Figure(point.Shown.Reference)),
        ]);
        if (item.OutputUnit is { } outputUnit)
            columns.Add(new("output", outputUnit, point => Figure(point.Shown.Output)));
        columns.AddRange(
        [
            new("indication", unit, point => Figure(point.Shown.Indication)),
            new("error E", item.Unit, point => Figure(point.Shown.Error, signed: true)),
            new("E", "% span", point => Figure(point.Shown.ErrorPercentOfSpan, signed: true)),
            new("U", item.Unit, point => Figure(point.Shown.Uncertainty)),
            new("k", "", point => Figure(point.Shown.CoverageFactor)),
            new("limit L", $"± {item.Unit}", point => Figure(point.Shown.Limit)),
        ]);
        if (series.Points.Any(point => point.Shown.Acceptance is not null))
            columns.Add(new("accept A", $"± {item.Unit}", point => Figure(point.Shown.Acceptance)));
        columns.AddRange(
        [
            new("conformity", "", point => Wording.Verdict(point.Conformity, point.Zone) + (point.Remarks.Count > 0 ? "*" : ""), IsText: true),
        ]);
        return columns;
    }

    private void Draw()
    {
        DrawHead();
        SeriesDirection? direction = null;
        foreach (CertificatePoint point in _series.Points)
        {
            if (_flow.Need(RowHeight))
                DrawHead();
            else if (direction is not null && direction != point.Direction)
                Rule(Style.Hairline);
            direction = point.Direction;
            DrawRow(point);
        }

        Rule(Style.Rule);
        _flow.Skip(4);
        foreach (CertificatePoint point in _series.Points.Where(point => point.Remarks.Count > 0))
            _flow.Paragraph(Wording.Invariant($"* point {point.Index}: {string.Join("; ", point.Remarks)}"), Style.Small);
    }

    private void DrawHead()
    {
        _flow.Need(HeadHeight + (2 * RowHeight));
        double y = _flow.Y;
        foreach (Column column in _columns)
        {
            Centred(column.Head, column, Style.SmallStrong, Style.Ink, y + 9);
            Centred(column.Unit, column, Style.Small, Style.Label, y + 19);
        }

        _flow.Skip(HeadHeight - 4);
        Rule(Style.Rule);
        _flow.Skip(4);
    }

    private void DrawRow(CertificatePoint point)
    {
        double baseline = _flow.Y + 9;
        foreach (Column column in _columns)
        {
            string text = column.Cell(point);
            XFont font = column.IsText && point.Conformity == Conformity.Failed && column.Head == "conformity" ? _cell.Strong : _cell.Regular;
            if (column.IsText || text == ResultFormat.Unknown)
                Centred(text, column, font, Style.Ink, baseline);
            else
                _flow.Graphics.DrawString(text, font, Style.Ink, column.X + PointAt(column) - WidthBefore(text), baseline, XStringFormats.BaseLineLeft);
        }

        _flow.Skip(RowHeight);
    }

    /// <returns>The room that is left between two columns.</returns>
    private double Measure()
    {
        foreach (Column column in _columns)
        {
            string[] cells = [.. _series.Points.Select(column.Cell)];
            column.Before = cells.Select(WidthBefore).DefaultIfEmpty().Max();
            column.After = cells.Select(text => Width(text, _cell.Regular) - WidthBefore(text)).DefaultIfEmpty().Max();
            column.Width = new[] { column.Before + column.After, Width(column.Head, Style.SmallStrong), Width(column.Unit, Style.Small) }.Max();
        }

        double gap = (_flow.Width - _columns.Sum(column => column.Width)) / _columns.Count;
        double x = Style.Left;
        foreach (Column column in _columns)
        {
            column.X = x + (gap / 2);
            x += column.Width + gap;
        }

        return gap;
    }

    private static double PointAt(Column column) => ((column.Width - column.Before - column.After) / 2) + column.Before;

    private double WidthBefore(string text)
    {
        int dot = text.IndexOf('.', StringComparison.Ordinal);
        return Width(dot < 0 ? text : text[..dot], _cell.Regular);
    }

    private double Width(string text, XFont font) => text.Length == 0 ? 0 : TextBlock.WidthOf(_flow.Graphics, text, font);

    private void Centred(string text, Column column, XFont font, XBrush brush, double baseline) =>
        _flow.Graphics.DrawString(text, font, brush, column.X + ((column.Width - Width(text, font)) / 2), baseline, XStringFormats.BaseLineLeft);

    private void Rule(XPen pen) => _flow.Graphics.DrawLine(pen, Style.Left, _flow.Y, Style.Left + _flow.Width, _flow.Y);

    private sealed record Column(string Head, string Unit, Func<CertificatePoint, string> Cell, bool IsText = false)
    {
        public double X { get; set; }

        public double Width { get; set; }

        /// <summary>Widest part of a cell in front of the decimal point.</summary>
        public double Before { get; set; }

        /// <summary>Widest part from the decimal point on.</summary>
        public double After { get; set; }
    }
}
