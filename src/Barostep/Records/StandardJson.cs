using System.Text.Json;
using Barostep.Configuration;

namespace Barostep.Records;

/// <summary>Reference standards as JSON, in the SI unit of what they measure.</summary>
internal static class StandardJson
{
    public static void Write(Utf8JsonWriter json, ReferenceStandard standard)
    {
        json.WriteStartObject();
        json.WriteString("name", standard.Name);
        json.WriteString("title", standard.Title);
        json.WriteString("manufacturer", standard.Manufacturer);
        json.WriteString("model", standard.Model);
        json.WriteString("serialNumber", standard.SerialNumber);
        json.WriteString("quantity", JsonWords.Of(standard.Quantity));
        json.WriteString("certificateNumber", standard.CertificateNumber);
        json.WriteString("calibratedBy", standard.CalibratedBy);
        json.WriteString("calibratedOn", RecordJsonWriter.Day(standard.CalibratedOn));
        json.WriteString("dueOn", RecordJsonWriter.Day(standard.DueOn));
        json.WriteNumber("expandedUncertainty", standard.ExpandedUncertainty);
        json.WriteNumber("expandedUncertaintyOfReading", standard.ExpandedUncertaintyOfReading);
        json.WriteNumber("coverageFactor", standard.CoverageFactor);
        json.WriteNumber("driftPerYear", standard.DriftPerYear);
        RecordJsonWriter.Array(json, "corrections", standard.Corrections, Correction);
        RecordJsonWriter.Array(json, "correctionCoefficients", standard.CorrectionCoefficients, (to, one) => to.WriteNumberValue(one));
        json.WriteEndObject();
    }

    public static ReferenceStandard Read(JsonPlace json) => new()
    {
        Name = json.Member("name").Text(),
        Title = json.Member("title").Text(),
        Manufacturer = json.Member("manufacturer").Text(),
        Model = json.Member("model").Text(),
        SerialNumber = json.Member("serialNumber").Text(),
        Quantity = json.Member("quantity").Word<StandardQuantity>(),
        CertificateNumber = json.Member("certificateNumber").Text(),
        CalibratedBy = json.Member("calibratedBy").Text(),
        CalibratedOn = json.Member("calibratedOn").Day(),
        DueOn = json.Member("dueOn").Day(),
        ExpandedUncertainty = json.Member("expandedUncertainty").Number(),
        ExpandedUncertaintyOfReading = json.Member("expandedUncertaintyOfReading").Number(),
        CoverageFactor = json.Member("coverageFactor").Number(),
        DriftPerYear = json.Member("driftPerYear").Number(),
        CorrectionCoefficients = json.MemberIfAny("correctionCoefficients") is { } curve ? [.. curve.Items().Select(one => one.Number())] : [],
        Corrections = [.. json.Member("corrections").Items()
            .Select(row => new CorrectionPoint(row.Member("indication").Number(), row.Member("correction").Number()))],
    };

    public static void WriteUse(Utf8JsonWriter json, StandardUse use)
    {
        json.WriteStartObject();
        json.WriteString("role", use.Role);
        json.WriteString("overdueAllowedBy", use.Allowance?.By);
        json.WriteString("overdueReason", use.Allowance?.Reason);
        json.WritePropertyName("standard");
        Write(json, use.Standard);
        json.WriteEndObject();
    }

    public static StandardUse ReadUse(JsonPlace json) => new(
        json.Member("role").Text(),
        Read(json.Member("standard")),
        json.MemberIfAny("overdueAllowedBy") is { } by ? new OverdueAllowance(by.Text(), json.Member("overdueReason").Text()) : null);

    private static void Correction(Utf8JsonWriter json, CorrectionPoint point)
    {
        json.WriteStartObject();
        json.WriteNumber("indication", point.Indication);
        json.WriteNumber("correction", point.Correction);
        json.WriteEndObject();
    }
}
