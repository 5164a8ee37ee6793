using System.Globalization;

namespace Barostep.Certificates.Pdf;

/// <summary>The content of a certificate in the order in which it is read.</summary>
internal static class CertificatePages
{
    public static void Draw(PageFlow flow, Certificate certificate)
    {
        DrawTitle(flow, certificate);
        DrawParties(flow, certificate);
        DrawItem(flow, certificate);
        DrawOutcome(flow, certificate);
        DrawRelease(flow, certificate);
        flow.Break();
        DrawWork(flow, certificate);
        foreach (CertificateSeries series in certificate.Series)
            DrawSeries(flow, certificate, series);
        DrawStatements(flow, certificate);
        DrawOrigin(flow, certificate);
    }

    private static void DrawTitle(PageFlow flow, Certificate certificate)
    {
        flow.Skip(8);
        flow.Line(certificate.Title, Style.Title, Style.Ink, Style.Left);
        flow.Skip(4);
        flow.Line($"no. {certificate.Number}", Style.Heading, Style.Ink, Style.Left);
        if (certificate.Amendment is { } amendment)
        {
            flow.Skip(6);
            string how = amendment.Kind == AmendmentKind.Amended ? "Amended certificate; it replaces" : "New certificate in the place of";
            flow.Paragraph($"{how} no. {amendment.ReplacedNumber}, which no longer counts. Reason: {amendment.Reason}", Style.Strong);
        }
    }

    private static void DrawParties(PageFlow flow, Certificate certificate)
    {
        flow.Heading("Laboratory and customer");
        flow.Columns(
            [
                ("Laboratory", certificate.Laboratory.Name),
                ("Address", certificate.Laboratory.Address.Line),
                ("E-mail", certificate.Laboratory.Email),
                ("Telephone", certificate.Laboratory.Telephone),
                ("Place of work", certificate.PlaceOfWork.Name),
            ],
            [
                ("Customer", certificate.Customer.Name),
                ("Address", certificate.Customer.Address.Line),
                ("E-mail", certificate.Customer.Email),
                ("Telephone", certificate.Customer.Telephone),
                ("Order", certificate.OrderNumber),
            ]);
    }

    private static void DrawItem(PageFlow flow, Certificate certificate)
    {
        CertificateItem item = certificate.Item;
        flow.Heading("Item");
        flow.Field("Description", item.Description);
        flow.Field("Manufacturer, model", $"{item.Manufacturer}, {item.Model}");
        flow.Field("Serial number", item.SerialNumber);
        flow.Field("Customer’s tag", item.Tag);
        flow.Field("Range", item.Range);
        flow.Field("Output", item.Output);
        flow.Field("Permissible error", item.Tolerance);
        flow.Field("Condition", item.Condition);
        flow.Heading("Dates");
        flow.Field("Item received", certificate.Received is { } received ? Wording.Date(received) : "not recorded");
        flow.Field("Work performed", certificate.PerformedFrom == certificate.PerformedTo
            ? $"{Wording.Date(certificate.PerformedFrom)} (UTC)"
            : $"{Wording.Date(certificate.PerformedFrom)} to {Wording.Date(certificate.PerformedTo)} (UTC)");
        flow.Field("Certificate issued", certificate.Issued is { } issued ? Wording.Date(issued) : "not issued");
    }

    private static void DrawOutcome(PageFlow flow, Certificate certificate)
    {
        flow.Heading("Outcome");
        foreach (CertificateSeries series in certificate.Series)
            flow.Field(series.Title, series.ConformityStatement);
        flow.Field("Adjustment", certificate.AdjustmentNote);
    }

    private static void DrawRelease(PageFlow flow, Certificate certificate)
    {
        flow.Heading(certificate.IsDraft ? "Draft" : "Authorised by", 5 * Style.Leading);
        if (certificate.IsDraft)
            flow.Paragraph($"This is a draft and not a certificate: {string.Join("; ", certificate.DraftReasons)}.", Style.Strong, Style.Warning);
        flow.Field("Name", certificate.Authorisation?.Name);
        flow.Field("Function", certificate.Authorisation?.Function);
        flow.Field("Date", certificate.Authorisation is { } authorisation ? Wording.Date(authorisation.Date) : null);
        flow.Skip(4);
        flow.Paragraph(certificate.ItemOnlyStatement);
        flow.Paragraph(certificate.ReproductionNote);
    }

    private static void DrawWork(PageFlow flow, Certificate certificate)
    {
        CertificateMethod method = certificate.Series[^1].Method;
        flow.Heading("Method");
        flow.Field("Procedure", $"{method.Title} ({method.Name})");
        flow.Field("Identification", method.Revision);
        flow.Field("Course", method.Description);
        foreach (string deviation in certificate.Deviations)
            flow.Field("Deviations", deviation);
        foreach (string supplied in certificate.SuppliedByCustomer)
            flow.Field("Supplied by customer", supplied);

        flow.Heading("Conditions");
        flow.Field("Air temperature", Ambient(certificate.Conditions.TemperatureKelvin, kelvin => kelvin - 273.15, "F1", "°C"));
        flow.Field("Relative humidity", Ambient(certificate.Conditions.HumidityShare, share => share * 100, "F0", "%"));
        flow.Field("Barometric pressure", Ambient(certificate.Conditions.BarometerPascals, pascals => pascals / 100, "F1", "hPa"));

        flow.Field("Told by", certificate.Conditions.ToldBy);
        flow.Heading("Standards used");
        foreach (StandardUsed standard in certificate.Standards)
            flow.Field(standard.Role, Standard(standard));
        if (certificate.Standards.Count == 0)
            flow.Paragraph("No standard is named.");
    }

    private static void DrawSeries(PageFlow flow, Certificate certificate, CertificateSeries series)
    {
        flow.Heading(series.Title, 8 * Style.Leading);
        flow.Field("Run", Wording.Invariant($"{series.StartedUtc.UtcDateTime:yyyy-MM-dd HH:mm} to {series.EndedUtc.UtcDateTime:yyyy-MM-dd HH:mm} UTC on bench {series.Bench}"));
        flow.Field("Performed by", series.PerformedBy);
        if (certificate.Item.Reference == Safety.PressureReference.Gauge)
            flow.Field("Gauge values count from", Wording.Invariant($"{series.AtmospherePascals / 100:F1} hPa absolute"));
        flow.Skip(4);
        if (series.Points.Count > 0)
        {
            ResultsTable.Draw(flow, certificate.Item, series);
            flow.Skip(4);
        }

        foreach (SeriesFigure figure in series.Figures)
            flow.Field(figure.Name, figure.Text);
        foreach (SeriesFigure correction in series.Corrections)
            flow.Field($"Correction: {correction.Name}", correction.Text);
        if (series.Points.Count > 0)
        {
            flow.Need(DeviationPlot.Height + Style.Leading);
            flow.Skip(4);
            flow.Paragraph($"{series.Title}: error of indication over pressure", Style.SmallStrong);
            DeviationPlot.Draw(flow, certificate.Item, series);
        }
    }

    private static void DrawStatements(PageFlow flow, Certificate certificate)
    {
        flow.Heading("Uncertainty");
        flow.Paragraph(certificate.UncertaintyStatement);
        foreach (CertificateSeries series in certificate.Series)
        {
            if (series.Budget is { } budget)
                BudgetRows.Draw(flow, series, budget);
        }

        flow.Heading("Decision rule");
        flow.Field(certificate.DecisionRule.Name, certificate.DecisionRule.Formula);
        flow.Paragraph(certificate.DecisionRule.Meaning);
        flow.Heading("Caution");
        flow.Paragraph(certificate.Caution);
    }

    private static void DrawOrigin(PageFlow flow, Certificate certificate)
    {
        flow.Heading("Records behind this certificate");
        flow.Field("Written by", $"Barostep {certificate.SoftwareVersion}");
        foreach (CertificateSeries series in certificate.Series)
        {
            flow.Field($"{series.Title}: run", series.RunId);
            flow.Field("made by", $"Barostep {series.SoftwareVersion}");
            flow.Field("SHA-256 of run.json", series.RecordHash);
            flow.Field("journal head", series.JournalHead);
            foreach (InstrumentTold told in series.Instruments)
                flow.Field($"told by {told.Port}", told.Identity);
        }
    }

    private static string Ambient(AmbientRange? range, Func<double, double> convert, string format, string unit)
    {
        if (range is null)
            return "not recorded";
        string Text(double value) => convert(value).ToString(format, CultureInfo.InvariantCulture);
        if (Text(range.Minimum) == Text(range.Maximum))
            return $"{Text(range.Mean)} {unit}";
        return $"{Text(range.Minimum)} {unit} to {Text(range.Maximum)} {unit}, mean {Text(range.Mean)} {unit}";
    }

    private static string Standard(StandardUsed standard)
    {
        string certificate = standard.CertificateNumber is { } number ? $"certificate {number}" : "no certificate stated";
        string on = standard.CalibratedOn is { } date ? $" of {Wording.Date(date)}" : string.Empty;
        string due = standard.Due is { } dueOn ? $", due {Wording.Date(dueOn)}" : string.Empty;
        string traceable = standard.TraceableTo is { } to ? $"; traceable to {to}" : string.Empty;
        return $"{standard.Identity}; {certificate}{on}{due}{traceable}{(standard.OverdueAllowed is { } allowed ? $"; {allowed}" : string.Empty)}";
    }
}
