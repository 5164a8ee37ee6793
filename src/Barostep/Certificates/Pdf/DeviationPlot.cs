using Barostep.Records;
using PdfSharp.Drawing;

namespace Barostep.Certificates.Pdf;

/// <summary>Error over pressure with the limits and U; up and down differ in marker, line and place, not by colour alone.</summary>
internal sealed class DeviationPlot
{
    public const double Height = 215;

    private const double AxisLeft = 48;
    private const double AxisBottom = 40;
    private const double MarkerRadius = 3;

    // Up and down stand this far to the left and right of their pressure, so that neither hides the other's U.
    private const double Aside = 2.5;

    private static readonly XColor _up = XColor.FromArgb(0, 62, 125);
    private static readonly XColor _down = XColor.FromArgb(170, 70, 0);

    private readonly XGraphics _graphics;
    private readonly CertificateItem _item;
    private readonly CertificateSeries _series;
    private readonly Scale _x;
    private readonly Scale _y;
    private readonly XRect _frame;
    private readonly double _limit;
    private readonly double _unitPascals;

    private DeviationPlot(PageFlow flow, CertificateItem item, CertificateSeries series)
    {
        _graphics = flow.Graphics;
        _item = item;
        _series = series;
        _unitPascals = Safety.PressureUnit.Find(item.Unit)!.PascalsAsDouble;
        _limit = series.Points.Max(point => point.LimitPascals) / _unitPascals;
        _frame = new XRect(Style.Left + AxisLeft, flow.Y + 6, flow.Width - AxisLeft - 6, Height - AxisBottom - 6);
        double from = series.Points.Min(point => point.NominalPascals) / _unitPascals;
        double to = series.Points.Max(point => point.NominalPascals) / _unitPascals;
        double margin = to > from ? 0.05 * (to - from) : 1;
        _x = new Scale(from - margin, to + margin, _frame.Left, _frame.Right);
        double largest = Math.Max(_limit, Known().Select(Reach).DefaultIfEmpty().Max());
        double reach = largest > 0 ? 1.2 * largest : 1;
        _y = new Scale(-reach, reach, _frame.Bottom, _frame.Top);
    }

    public static void Draw(PageFlow flow, CertificateItem item, CertificateSeries series)
    {
        DeviationPlot plot = new(flow, item, series);
        plot.DrawAxes();
        plot.DrawLimits();
        foreach (IGrouping<(int, SeriesDirection), CertificatePoint> branch in plot.Known().GroupBy(point => (point.Cycle, point.Direction)))
            plot.DrawBranch(branch.Key.Item2, [.. branch]);
        plot.DrawLegend();
        flow.Skip(Height);
    }

    private IEnumerable<CertificatePoint> Known() => _series.Points.Where(point => point.ErrorPascals is not null);

    private double Reach(CertificatePoint point) =>
        (Math.Abs(point.ErrorPascals!.Value) + (point.Uncertainty?.ExpandedPascals ?? 0)) / _unitPascals;

    private void DrawAxes()
    {
        foreach ((double value, string text) in _y.Marks(6))
        {
            double y = _y.At(value);
            _graphics.DrawLine(Style.Hairline, _frame.Left, y, _frame.Right, y);
            double width = TextBlock.WidthOf(_graphics, text, Style.Small);
            _graphics.DrawString(text, Style.Small, Style.Ink, _frame.Left - 4 - width, y + 2.7, XStringFormats.BaseLineLeft);
        }

        foreach ((double value, string text) in _x.Marks(10))
        {
            double x = _x.At(value);
            _graphics.DrawLine(Style.Rule, x, _frame.Bottom, x, _frame.Bottom + 3);
            double width = TextBlock.WidthOf(_graphics, text, Style.Small);
            _graphics.DrawString(text, Style.Small, Style.Ink, x - (width / 2), _frame.Bottom + 11, XStringFormats.BaseLineLeft);
        }

        _graphics.DrawLine(new XPen(XColor.FromArgb(60, 60, 60), 0.6), _frame.Left, _y.At(0), _frame.Right, _y.At(0));
        _graphics.DrawRectangle(Style.Rule, _frame);
        DrawAxisTitles();
    }

    private void DrawAxisTitles()
    {
        string pressure = $"pressure in {_item.Unit} {(_item.Reference == Safety.PressureReference.Gauge ? "gauge" : "absolute")}";
        double width = TextBlock.WidthOf(_graphics, pressure, Style.Small);
        _graphics.DrawString(pressure, Style.Small, Style.Ink, _frame.Right - width, _frame.Bottom + 22, XStringFormats.BaseLineLeft);

        string error = $"error E in {_item.Unit}";
        double x = Style.Left + 6;
        double y = _frame.Top + (_frame.Height / 2) + (TextBlock.WidthOf(_graphics, error, Style.Small) / 2);
        XGraphicsState upright = _graphics.Save();
        _graphics.RotateAtTransform(-90, new XPoint(x, y));
        _graphics.DrawString(error, Style.Small, Style.Ink, x, y, XStringFormats.BaseLineLeft);
        _graphics.Restore(upright);
    }

    private void DrawLimits()
    {
        XPen pen = new(XColor.FromArgb(190, 0, 0), 1) { DashStyle = XDashStyle.DashDot };
        (double Nominal, double Limit)[] limits =
            [.. _series.Points.Select(point => (point.NominalPascals / _unitPascals, point.LimitPascals / _unitPascals)).Distinct().OrderBy(limit => limit.Item1)];
        foreach ((int sign, string text, double below) in new[] { (1, "+L", -3.0), (-1, "−L", 9.0) })
        {
            _graphics.DrawLines(pen, [.. Steps(limits, sign)]);
            _graphics.DrawString(text, Style.SmallStrong, Style.Warning, _frame.Left + 4, _y.At(sign * limits[0].Limit) + below, XStringFormats.BaseLineLeft);
        }
    }

    // A grade has another limit in the middle of the scale; it changes half-way between two points.
    private IEnumerable<XPoint> Steps((double Nominal, double Limit)[] limits, int sign)
    {
        double left = _frame.Left;
        for (int i = 0; i < limits.Length; i++)
        {
            double right = i + 1 < limits.Length ? _x.At((limits[i].Nominal + limits[i + 1].Nominal) / 2) : _frame.Right;
            double y = _y.At(sign * limits[i].Limit);
            yield return new XPoint(left, y);
            yield return new XPoint(right, y);
            left = right;
        }
    }

    private void DrawBranch(SeriesDirection direction, IReadOnlyList<CertificatePoint> points)
    {
        XPoint[] places = [.. points.Select(point => new XPoint(
            _x.At(point.NominalPascals / _unitPascals) + (direction == SeriesDirection.Ascending ? -Aside : Aside),
            _y.At(point.ErrorPascals!.Value / _unitPascals)))];
        if (places.Length > 1)
            _graphics.DrawLines(LineOf(direction), places);
        for (int i = 0; i < places.Length; i++)
        {
            if (points[i].Uncertainty is { } uncertainty)
                DrawUncertainty(direction, places[i], Math.Abs(_y.At(uncertainty.ExpandedPascals / _unitPascals) - _y.At(0)));
            DrawMarker(direction, places[i]);
        }
    }

    private void DrawUncertainty(SeriesDirection direction, XPoint at, double reach)
    {
        const double cap = 2;
        XPen pen = new(ColourOf(direction), 0.6);
        _graphics.DrawLine(pen, at.X, at.Y - reach, at.X, at.Y + reach);
        _graphics.DrawLine(pen, at.X - cap, at.Y - reach, at.X + cap, at.Y - reach);
        _graphics.DrawLine(pen, at.X - cap, at.Y + reach, at.X + cap, at.Y + reach);
    }

    // Up: filled, pointing up. Down: hollow, pointing down.
    private void DrawMarker(SeriesDirection direction, XPoint at)
    {
        double tip = direction == SeriesDirection.Ascending ? -MarkerRadius : MarkerRadius;
        XPoint[] corners = [new(at.X, at.Y + (1.2 * tip)), new(at.X - MarkerRadius, at.Y - (0.8 * tip)), new(at.X + MarkerRadius, at.Y - (0.8 * tip))];
        XBrush fill = direction == SeriesDirection.Ascending ? new XSolidBrush(_up) : XBrushes.White;
        _graphics.DrawPolygon(new XPen(ColourOf(direction), 0.8), fill, corners, XFillMode.Winding);
    }

    private void DrawLegend()
    {
        double x = _frame.Left;
        double y = _frame.Bottom + 22;
        foreach (SeriesDirection direction in _series.Points.Select(point => point.Direction).Distinct().Order())
        {
            _graphics.DrawLine(LineOf(direction), x, y - 2.5, x + 22, y - 2.5);
            DrawMarker(direction, new XPoint(x + 11, y - 2.5));
            string text = direction == SeriesDirection.Ascending ? "ascending" : "descending";
            _graphics.DrawString(text, Style.Small, Style.Ink, x + 27, y, XStringFormats.BaseLineLeft);
            x += 34 + TextBlock.WidthOf(_graphics, text, Style.Small) + 6;
        }

        string rest = _series.Points.Any(point => point.Uncertainty is not null) ? "bars ± U; chain lines ± limit L" : "chain lines ± limit L";
        _graphics.DrawString(rest, Style.Small, Style.Ink, x, y, XStringFormats.BaseLineLeft);
    }

    private static XPen LineOf(SeriesDirection direction) => direction == SeriesDirection.Ascending
        ? new XPen(_up, 1)
        : new XPen(_down, 1) { DashStyle = XDashStyle.Dash };

    private static XColor ColourOf(SeriesDirection direction) => direction == SeriesDirection.Ascending ? _up : _down;
}
