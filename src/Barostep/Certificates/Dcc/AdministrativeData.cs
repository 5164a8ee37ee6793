using Barostep.Evaluation;
using Barostep.Evaluation.Decisions;
using Barostep.Safety;

namespace Barostep.Certificates.Dcc;

/// <summary>The part of the document that says who, what, when and under which statements.</summary>
internal sealed class AdministrativeData(DccWriter dcc, Certificate certificate)
{
    private const string Norm = "ISO/IEC 17025:2017";

    public void Write() => dcc.Element("administrativeData", () =>
    {
        dcc.Element("dccSoftware", () => Software(dcc, certificate.SoftwareVersion));
        WriteRefTypes();
        WriteCoreData();
        WriteItem();
        dcc.Element("calibrationLaboratory", () => Contact("contact", certificate.Laboratory));
        WriteResponsible();
        Contact("customer", certificate.Customer);
        WriteStatements();
    });

    /// <summary>This program; a release has a letter and at most four numbers in front of whatever else a version says.</summary>
    public static void Software(DccWriter dcc, string version) => dcc.Element("software", () =>
    {
        string numbers = string.Join('.', version.Split('.', '-', '+').TakeWhile(part => part.Length is > 0 and <= 3 && part.All(char.IsAsciiDigit)).Take(4));
        dcc.Name("name", "Barostep");
        dcc.Value("release", $"v{(numbers.Length == 0 ? "0" : numbers)}");
        dcc.Value("type", "application");
        dcc.Text("description", $"version {version}");
    });

    public static string ConformityOf(Conformity conformity, DecisionZone? zone = null) => conformity switch
    {
        Conformity.Passed => zone == DecisionZone.ConditionalPass ? "conditionalPass" : "pass",
        Conformity.Failed => zone == DecisionZone.ConditionalFail ? "conditionalFail" : "fail",
        Conformity.NotDecided => "noPass",
        _ => throw new ArgumentOutOfRangeException(nameof(conformity), conformity, "unknown conformity"),
    };

    private void WriteRefTypes() => dcc.Element("refTypeDefinitions", () => dcc.Element("refTypeDefinition", () =>
    {
        dcc.Text("name", "Terms of Barostep");
        dcc.Text("description", "Names for what the basic terms do not cover; each is explained by the name of the element that carries it.");
        dcc.Value("namespace", "barostep");
        dcc.Value("link", "urn:barostep:certificate");
    }));

    private void WriteCoreData() => dcc.Element("coreData", () =>
    {
        dcc.Value("countryCodeISO3166_1", certificate.Laboratory.Address.CountryCode);
        dcc.Value("usedLangCodeISO639_1", DccWriter.Language);
        dcc.Value("mandatoryLangCodeISO639_1", DccWriter.Language);
        dcc.Value("uniqueIdentifier", certificate.Number);
        dcc.Element("identifications", WriteIdentifications);
        if (certificate.Received is { } received)
            dcc.Date("receiptDate", received);
        dcc.Date("beginPerformanceDate", certificate.PerformedFrom);
        dcc.Date("endPerformanceDate", certificate.PerformedTo);
        dcc.Value("performanceLocation", PlaceOf(certificate.PlaceOfWork.Kind));
        if (certificate.Issued is { } issued)
            dcc.Date("issueDate", issued);
        if (certificate.Amendment is { } amendment)
        {
            dcc.Element("reportAmendedSubstituted", () =>
            {
                dcc.Value("typeOfChange", amendment.Kind == AmendmentKind.Amended ? "amended" : "substituted");
                dcc.Value("replacedUniqueIdentifier", amendment.ReplacedNumber);
            });
        }
    });

    private void WriteIdentifications()
    {
        if (certificate.OrderNumber is { } order)
            dcc.Identification("customer", order, "Order");
        foreach (CertificateSeries series in certificate.Series)
        {
            dcc.Identification("calibrationLaboratory", series.RunId, $"{series.Title}: run");
            dcc.Identification("calibrationLaboratory", series.RecordHash, $"{series.Title}: SHA-256 of run.json");
            dcc.Identification("calibrationLaboratory", series.JournalHead, $"{series.Title}: journal head");
        }
    }

    private void WriteItem() => dcc.Element("items", () => dcc.Element("item", () =>
    {
        CertificateItem item = certificate.Item;
        dcc.Text("name", item.Description);
        dcc.Text("description", $"Condition: {item.Condition}");
        dcc.Element("manufacturer", () => dcc.Name("name", item.Manufacturer));
        dcc.Value("model", item.Model);
        dcc.Element("identifications", () =>
        {
            dcc.Identification("manufacturer", item.SerialNumber, "Serial number");
            if (item.Tag is { } tag)
                dcc.Identification("customer", tag, "Customer’s tag");
        });
        dcc.Element("itemQuantities", () =>
        {
            ItemQuantity("Range", item.Range);
            ItemQuantity("Output", item.Output);
            ItemQuantity("Permissible error", item.Tolerance);
        });
    }));

    private void ItemQuantity(string name, string text) => dcc.Element("itemQuantity", () =>
    {
        dcc.Text("name", name);
        dcc.Text("noQuantity", text);
    });

    private void WriteResponsible() => dcc.Element("respPersons", () => dcc.Element("respPerson", () =>
    {
        Authorisation? authorisation = certificate.Authorisation;
        dcc.Element("person", () => dcc.Name("name", authorisation?.Name ?? "DRAFT: nobody has authorised it"));
        if (authorisation is not null)
        {
            dcc.Text("description", $"authorised on {Wording.Date(authorisation.Date)}");
            dcc.Value("role", authorisation.Function);
        }

        dcc.Value("mainSigner", authorisation is null ? "false" : "true");
    }));

    private void Contact(string element, Party party) => dcc.Element(element, () =>
    {
        dcc.Name("name", party.Name);
        if (party.Email is { } email)
            dcc.Value("eMail", email);
        if (party.Telephone is { } telephone)
            dcc.Value("phone", telephone);
        dcc.Element("location", () =>
        {
            Known("city", party.Address.City);
            dcc.Value("countryCode", party.Address.CountryCode);
            Known("postCode", party.Address.PostCode);
            Known("street", party.Address.Street);
        });
    });

    private void Known(string element, string value)
    {
        if (value.Length > 0)
            dcc.Value(element, value);
    }

    private void WriteStatements() => dcc.Element("statements", () =>
    {
        if (certificate.IsDraft)
            Statement("barostep_draft", "Draft", $"This is a draft and not a certificate: {string.Join("; ", certificate.DraftReasons)}.");
        if (certificate.Simulated)
            Statement("barostep_simulated", "Simulated", Wording.Simulated);
        Statement("barostep_itemOnly", certificate.Title, certificate.ItemOnlyStatement, Reference("7.8.2.1"));
        Statement("barostep_placeOfWork", "Place of work", certificate.PlaceOfWork.Name);
        Statement("barostep_adjustment", "Adjustment", certificate.AdjustmentNote, Reference("7.8.4.1"));
        Statement("barostep_uncertainty", "Uncertainty", certificate.UncertaintyStatement, Reference("7.8.4.1"));
        DecisionRule rule = certificate.DecisionRule;
        Statement("barostep_decisionRule", $"Decision rule: {rule.Name}", $"{rule.Formula}. {rule.Meaning}", Reference("7.8.6"));
        Statement("basic_conformity", "Conformity", certificate.Series[^1].ConformityStatement, null, () =>
            dcc.Value("conformity", ConformityOf(certificate.Conformity, certificate.Series[^1].Points.Max(point => point.Zone))));
        foreach (string deviation in certificate.Deviations)
            Statement("barostep_deviation", "Deviations", deviation, Reference("7.8.2.1"));
        foreach (string supplied in certificate.SuppliedByCustomer)
            Statement("barostep_suppliedByCustomer", "Supplied by customer", supplied, Reference("7.8.2.2"));
        if (certificate.Amendment is { } amendment)
            Statement("barostep_amendment", "Reason of the change", amendment.Reason, Reference("7.8.8"));
        Statement("barostep_reproduction", "Reproduction", certificate.ReproductionNote);
        Statement("barostep_caution", "Caution", certificate.Caution);
        WriteUnits();
    });

    private void Statement(string refType, string name, string text, Action? before = null, Action? after = null) =>
        dcc.Declaration("statement", refType, name, text, before, after);

    private Action Reference(string clause) => () =>
    {
        dcc.Value("norm", Norm);
        dcc.Value("reference", clause);
    };

    private void WriteUnits()
    {
        DccUnit unit = DccUnit.Of(PressureUnit.Find(certificate.Item.Unit)!);
        if (!unit.IsOutsideTheSi)
            return;
        dcc.Element("statement", "barostep_unit", () =>
        {
            dcc.Text("name", "Unit of pressure outside the SI");
            dcc.Value("nonSIDefinition", $"1 {certificate.Item.Unit} = {DccWriter.Number(unit.Factor)} Pa");
            dcc.Value("nonSIUnit", unit.Spelling);
        });
    }

    private static string PlaceOf(PlaceKind kind) => kind switch
    {
        PlaceKind.Laboratory => "laboratory",
        PlaceKind.LaboratoryBranch => "laboratoryBranch",
        PlaceKind.Customer => "customer",
        PlaceKind.CustomerBranch => "customerBranch",
        PlaceKind.Other => "other",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "unknown place"),
    };
}
