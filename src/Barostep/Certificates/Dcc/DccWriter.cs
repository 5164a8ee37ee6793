using System.Globalization;
using System.Text;
using System.Xml;

namespace Barostep.Certificates.Dcc;

/// <summary>Writes the elements of the digital certificate's two namespaces, so that what calls it reads like the document.</summary>
internal sealed class DccWriter(XmlWriter xml)
{
    public const string Namespace = "https://ptb.de/dcc";
    public const string SiNamespace = "https://ptb.de/si";
    public const string SchemaVersion = "3.3.0";

    /// <summary>The one language of the texts.</summary>
    public const string Language = "en";

    public void Root(Action content)
    {
        xml.WriteStartDocument();
        xml.WriteStartElement("dcc", "digitalCalibrationCertificate", Namespace);
        xml.WriteAttributeString("xmlns", "si", null, SiNamespace);
        xml.WriteAttributeString("schemaVersion", SchemaVersion);
        content();
        xml.WriteEndElement();
        xml.WriteEndDocument();
    }

    public void Element(string name, Action content) => Element(name, null, content);

    public void Element(string name, string? refType, Action content)
    {
        xml.WriteStartElement("dcc", name, Namespace);
        if (refType is not null)
            xml.WriteAttributeString("refType", refType);
        content();
        xml.WriteEndElement();
    }

    public void Si(string name, Action content)
    {
        xml.WriteStartElement("si", name, SiNamespace);
        content();
        xml.WriteEndElement();
    }

    /// <summary>A simple value; the schema allows no empty one and no space at its ends.</summary>
    public void Value(string name, string value) => xml.WriteElementString("dcc", name, Namespace, NotEmpty(value));

    public void SiValue(string name, string value) => xml.WriteElementString("si", name, SiNamespace, value);

    public void Date(string name, DateOnly date) => Value(name, Wording.Date(date));

    /// <summary>An element with a text in words.</summary>
    public void Text(string name, string text) => Element(name, () => Content(text));

    /// <summary>An element that names something: names have no language.</summary>
    public void Name(string name, string text) => Element(name, () => xml.WriteElementString("dcc", "content", Namespace, NotEmpty(text)));

    /// <summary>A statement or remark: an optional name and a declaration, with what else belongs to it.</summary>
    public void Declaration(string element, string refType, string? name, string text, Action? beforeDeclaration = null, Action? after = null) =>
        Element(element, refType, () =>
        {
            if (name is not null)
                Text("name", name);
            beforeDeclaration?.Invoke();
            Text("declaration", text);
            after?.Invoke();
        });

    public void Identification(string issuer, string value, string name) => Element("identification", () =>
    {
        Value("issuer", issuer);
        Value("value", value);
        Text("name", name);
    });

    public static string Number(decimal value) => value.ToString("0.############################", CultureInfo.InvariantCulture);

    private void Content(string text)
    {
        xml.WriteStartElement("dcc", "content", Namespace);
        xml.WriteAttributeString("lang", Language);
        xml.WriteString(NotEmpty(text));
        xml.WriteEndElement();
    }

    // What an instrument told may hold any character; XML 1.0 cannot carry all of them.
    private static string NotEmpty(string text)
    {
        StringBuilder valid = new();
        foreach (Rune rune in text.EnumerateRunes())
            valid.Append(rune.Value is < 0x20 and not ('\t' or '\n' or '\r') or 0xFFFE or 0xFFFF ? Rune.ReplacementChar : rune);
        string trimmed = valid.ToString().Trim();
        return trimmed.Length == 0 ? "not stated" : trimmed;
    }
}
