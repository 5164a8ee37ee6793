using System.Net;
using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>[network]</c>.</summary>
internal static class NetworkTable
{
    public static NetworkListener? Read(TableReader table)
    {
        IPAddress? address = AddressIn(table);
        long port = table.WholeOr("port", NetworkListener.UsualPort, 1, 65_535);
        string? certificate = CertificateIn(table);
        string? key = table.TextIfAny("key", "bench-pc.key");
        string? password = table.TextIfAny("password_file", "key-password");
        List<string> names = [.. table.NamesIfAny("names").Select(entry => ((TomlValue.Text)entry.Value).Value)];
        table.Close();
        return address is not null && certificate is not null
            ? new NetworkListener(address, (int)port, certificate, key, password, names)
            : null;
    }

    private static IPAddress? AddressIn(TableReader table)
    {
        if (table.Text("address", "192.0.2.10") is not { } written)
            return null;
        if (IPAddress.TryParse(written, out IPAddress? address))
            return address;
        table.File.Report(
            table.At("address"), $"{table.PathOf("address")} = \"{MessageText.OneLine(written)}\"", "it is an address of this machine in figures",
            "write for example \"192.0.2.10\", or \"0.0.0.0\" for all of them");
        return null;
    }

    /// <summary>Asked for in its own words: what is missing is not a key but the lock on the door.</summary>
    private static string? CertificateIn(TableReader table)
    {
        if (table.Has("certificate"))
            return table.Text("certificate", "bench-pc.pem");
        table.Allow("certificate");
        table.File.Report(
            table.Where, "[network] names no certificate", "a daemon that listens beyond this machine does so with TLS and tokens only",
            "write certificate = \"bench-pc.pem\" and key = \"bench-pc.key\", or delete [network]");
        return null;
    }
}
