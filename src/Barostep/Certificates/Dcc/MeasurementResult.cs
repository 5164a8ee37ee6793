using System.Globalization;
using Barostep.Safety;

namespace Barostep.Certificates.Dcc;

/// <summary>One series: how it was made, with what, under which conditions, and what came out.</summary>
internal sealed class MeasurementResult(DccWriter dcc, Certificate certificate, CertificateSeries series)
{
    private readonly DccQuantities _quantities = new(dcc);
    private readonly DccUnit _unit = DccUnit.Of(PressureUnit.Find(certificate.Item.Unit)!);

    public void Write() => dcc.Element("measurementResult", () =>
    {
        dcc.Text("name", series.Title);
        dcc.Text("description", Wording.Invariant($"Run {series.RunId} on bench {series.Bench}, {series.StartedUtc.UtcDateTime:yyyy-MM-dd'T'HH:mm:ss'Z'} to {series.EndedUtc.UtcDateTime:yyyy-MM-dd'T'HH:mm:ss'Z'}"));
        dcc.Element("usedMethods", WriteMethods);
        dcc.Element("usedSoftware", () => AdministrativeData.Software(dcc, series.SoftwareVersion));
        if (certificate.Standards.Count + series.Instruments.Count > 0)
            dcc.Element("measuringEquipments", WriteEquipment);
        dcc.Element("influenceConditions", WriteConditions);
        dcc.Element("results", WriteResults);
        dcc.Element("measurementMetaData", WriteMetaData);
    });

    private void WriteMethods()
    {
        dcc.Element("usedMethod", "barostep_procedure", () =>
        {
            dcc.Text("name", series.Method.Title);
            dcc.Text("description", series.Method.Description);
            dcc.Value("reference", series.Method.Revision is { } revision ? $"{series.Method.Name}, {revision}" : series.Method.Name);
        });
        dcc.Element("usedMethod", "basic_uncertainty", () =>
        {
            dcc.Text("name", "Uncertainty");
            dcc.Text("description", certificate.UncertaintyStatement);
        });
    }

    private void WriteEquipment()
    {
        foreach (StandardUsed standard in certificate.Standards)
        {
            dcc.Element("measuringEquipment", "basic_normalUsed", () =>
            {
                dcc.Text("name", standard.Role);
                dcc.Text("description", Traceability(standard));
                dcc.Element("identifications", () =>
                {
                    dcc.Identification("manufacturer", standard.Identity, "Identity");
                    if (standard.CertificateNumber is { } number)
                        dcc.Identification("other", number, "Calibration certificate");
                });
            });
        }

        foreach (InstrumentTold told in series.Instruments)
        {
            dcc.Element("measuringEquipment", "barostep_instrument", () =>
            {
                dcc.Text("name", $"Instrument at port {told.Port}");
                dcc.Element("identifications", () => dcc.Identification("manufacturer", told.Identity, "Identity as it told it"));
            });
        }
    }

    private static string Traceability(StandardUsed standard)
    {
        string calibrated = standard.CalibratedOn is { } on ? $"calibrated on {Wording.Date(on)}" : "calibration not stated";
        string due = standard.Due is { } date ? $", due on {Wording.Date(date)}" : string.Empty;
        string traceable = standard.TraceableTo is { } to ? $"; traceable to {to}" : string.Empty;
        return $"{calibrated}{due}{traceable}{(standard.OverdueAllowed is { } allowed ? $"; {allowed}" : string.Empty)}";
    }

    private void WriteConditions()
    {
        Ambient("basic_temperature", "Air temperature", certificate.Conditions.TemperatureKelvin, @"\kelvin", 2);
        Ambient("basic_humidityRelative", "Relative humidity", certificate.Conditions.HumidityShare, @"\one", 3);
        Ambient("barostep_barometricPressure", "Barometric pressure", certificate.Conditions.BarometerPascals, DccUnit.PascalSpelling, 0);
        Condition("barostep_atmosphere", "Atmosphere that gauge values count from", () =>
            _quantities.Real("barostep_atmosphere", "Atmosphere, absolute", Rounded(series.AtmospherePascals, 1), DccUnit.PascalSpelling));
    }

    private void Ambient(string refType, string name, AmbientRange? range, string unit, int decimals)
    {
        if (range is null)
            return;
        Condition(refType, name, () =>
        {
            _quantities.Real($"{refType}Min", "minimum", Rounded(range.Minimum, decimals), unit);
            _quantities.Real($"{refType}Max", "maximum", Rounded(range.Maximum, decimals), unit);
            string mean = refType.StartsWith("basic_", StringComparison.Ordinal) ? refType.Replace("basic_", "barostep_", StringComparison.Ordinal) : refType;
            _quantities.Real($"{mean}Mean", "mean", Rounded(range.Mean, decimals), unit);
        });
    }

    private void Condition(string refType, string name, Action data) => dcc.Element("influenceCondition", refType, () =>
    {
        dcc.Text("name", name);
        if (series.State != ItemState.NotAdjusted)
            dcc.Value("status", series.State == ItemState.AsFound ? "beforeAdjustment" : "afterAdjustment");
        dcc.Element("data", data);
    });

    private void WriteResults()
    {
        dcc.Element("result", "barostep_results", () =>
        {
            dcc.Text("name", series.Title);
            dcc.Element("data", () =>
            {
                if (series.Points.Count == 0)
                    dcc.Text("text", "No point was read.");
                else
                    dcc.Element("list", "barostep_table", WriteTable);
            });
        });
        WriteFigures("barostep_figures", "Figures of the series", series.Figures);
        WriteFigures("barostep_corrections", "Corrections applied to the readings", series.Corrections);
        if (series.Budget is { } budget)
            WriteBudget(budget);
    }

    private void WriteBudget(PointBudget budget) => dcc.Element("result", "barostep_budget", () =>
    {
        dcc.Text("name", $"Uncertainty budget, {budget.Title}");
        dcc.Element("data", () =>
        {
            foreach (BudgetLine line in budget.Lines)
                Figure(new SeriesFigure(line.Name, $"u = {line.StandardUncertainty}, {line.Distribution}, ν = {line.DegreesOfFreedom}, c = {line.Sensitivity}, c·u = {line.Contribution}"));
            Figure(new SeriesFigure("combined", budget.Combined));
        });
    });

    private void WriteFigures(string refType, string name, IReadOnlyList<SeriesFigure> figures)
    {
        if (figures.Count == 0)
            return;
        dcc.Element("result", refType, () =>
        {
            dcc.Text("name", name);
            dcc.Element("data", () =>
            {
                foreach (SeriesFigure figure in figures)
                    Figure(figure);
            });
        });
    }

    private void Figure(SeriesFigure figure) => dcc.Element("quantity", "barostep_figure", () =>
    {
        dcc.Text("name", figure.Name);
        dcc.Text("noQuantity", figure.Text);
    });

    private void WriteTable()
    {
        _quantities.Words("barostep_point", "Point", series.Points.Select(point => point.Index.ToString(CultureInfo.InvariantCulture)));
        _quantities.Words("barostep_cycle", "Cycle", series.Points.Select(point => point.Cycle.ToString(CultureInfo.InvariantCulture)));
        _quantities.Words("barostep_direction", "Direction", series.Points.Select(point => Wording.Direction(point.Direction)));
        string reference = certificate.Item.Reference == PressureReference.Gauge ? "gauge" : "absolute";
        _quantities.List("basic_referenceValue", $"Reference value, {reference} pressure", _unit, Shown(shown => shown.Reference), null, WriteNominal);
        if (certificate.Item.OutputUnit is { } outputUnit)
            _quantities.List("barostep_output", "Output", outputUnit == "mA" ? DccUnit.Milliampere : DccUnit.Volt, Shown(shown => shown.Output));
        _quantities.List("basic_measuredValue", $"Indication, {reference} pressure", _unit, Shown(shown => shown.Indication));
        _quantities.List("basic_measurementError", "Error of indication", _unit, Shown(shown => shown.Error), UncertaintiesOfErrors(), WriteConformity);
        _quantities.List("barostep_errorOfSpan", "Error of indication as a share of span", new DccUnit(@"\one", @"\one", 1), Shown(shown => shown.ErrorPercentOfSpan / 100));
    }

    private void WriteNominal() => dcc.Element("metaData", "basic_calibrationValue", () =>
    {
        dcc.Text("declaration", "Nominal pressure");
        dcc.Element("data", () => dcc.Element("quantity", () => _quantities.Lists(_unit, Shown(shown => shown.Nominal))));
    });

    private void WriteConformity() => dcc.Element("metaData", "basic_conformity", () =>
    {
        dcc.Text("declaration", "Conformity of each point by the decision rule; noPass stands where no statement is made.");
        dcc.Value("conformityXMLList", string.Join(' ', series.Points.Select(point => AdministrativeData.ConformityOf(point.Conformity, point.Zone))));
        dcc.Element("data", () =>
        {
            _quantities.List("basic_acceptanceLimitLower", "Lower acceptance limit", _unit, Shown(shown => -(shown.Acceptance ?? shown.Limit)));
            _quantities.List("barostep_permissibleError", "Permissible error, to both sides", _unit, Shown(shown => shown.Limit));
            _quantities.List("basic_acceptanceLimitUpper", "Upper acceptance limit", _unit, Shown(shown => shown.Acceptance ?? shown.Limit));
        });
    });

    private void WriteMetaData()
    {
        if (series.PerformedBy is { } person)
            dcc.Declaration("metaData", "barostep_performedBy", "Performed by", person);
        if (certificate.Conditions.ToldBy is { } told)
            dcc.Declaration("metaData", "barostep_conditionsToldBy", "Conditions told by", told);
        dcc.Declaration("metaData", "basic_conformity", "Conformity of this series", series.ConformityStatement, null, () =>
            dcc.Value("conformity", AdministrativeData.ConformityOf(series.Conformity, series.Points.Max(point => point.Zone))));
        foreach (CertificatePoint point in series.Points.Where(point => point.Remarks.Count > 0))
            dcc.Declaration("metaData", "barostep_remark", Wording.Invariant($"Point {point.Index}"), string.Join("; ", point.Remarks));
    }

    private DccQuantities.Uncertainties? UncertaintiesOfErrors() => series.Points.All(point => point.Uncertainty is null) ? null : new(
        Shown(shown => shown.Uncertainty),
        Shown(shown => shown.CoverageFactor),
        [.. series.Points.Select(point => (decimal?)point.Uncertainty?.Probability)]);

    private decimal?[] Shown(Func<ShownFigures, decimal?> figure) => [.. series.Points.Select(point => figure(point.Shown))];

    private static decimal Rounded(double value, int decimals) => decimal.Round((decimal)value, decimals, MidpointRounding.AwayFromZero);
}
