namespace Barostep.Simulators.Instruments;

/// <summary>Answers or obeys one message unit.</summary>
public delegate void MessageHandler(MessageUnit unit);

/// <summary>
/// The headers that a text instrument knows, by the grammar of SCPI-1999: a mnemonic matches in its short or its long
/// form, a node in brackets may be left out, a query is a header of its own.
/// </summary>
public sealed class HeaderTree
{
    private readonly Node _root = new();
    private readonly Dictionary<string, MessageHandler> _common = new(StringComparer.OrdinalIgnoreCase);

    /// <summary>Adds a header such as <c>SYSTem:ERRor[:NEXT]?</c> or <c>*IDN?</c>.</summary>
    public HeaderTree Add(string header, MessageHandler handler)
    {
        if (header.StartsWith('*'))
        {
            _common[header] = handler;
            return this;
        }

        int open = header.IndexOf('[', StringComparison.Ordinal);
        if (open < 0)
        {
            AddPath(header, handler);
            return this;
        }

        int close = header.IndexOf(']', StringComparison.Ordinal);
        Add(header.Remove(open, close - open + 1), handler);
        return Add(header.Remove(close, 1).Remove(open, 1), handler);
    }

    /// <summary>Finds a common command with its <c>*</c>, and its <c>?</c> for a query.</summary>
    public MessageHandler? FindCommon(ReadOnlySpan<char> header) =>
        _common.GetAlternateLookup<ReadOnlySpan<char>>().TryGetValue(header, out MessageHandler? handler) ? handler : null;

    /// <summary>
    /// Finds a header from the given level down. The level becomes the one on which the header's last mnemonic stands.
    /// </summary>
    internal MessageHandler? Find(ReadOnlySpan<char> header, ref Node? level)
    {
        bool query = header.EndsWith("?");
        ReadOnlySpan<char> path = query ? header[..^1] : header;
        Node? node = level ?? _root;
        if (path.StartsWith(":"))
        {
            node = _root;
            path = path[1..];
        }

        Node? parent = node;
        foreach (Range range in path.Split(':'))
        {
            parent = node;
            if (!node.Children.GetAlternateLookup<ReadOnlySpan<char>>().TryGetValue(path[range], out node))
            {
                return null;
            }
        }

        level = parent;
        return query ? node.Query : node.Command;
    }

    private void AddPath(string header, MessageHandler handler)
    {
        bool query = header.EndsWith('?');
        Node node = _root;
        foreach (string mnemonic in header.TrimEnd('?').Split(':'))
        {
            string shortForm = string.Concat(mnemonic.Where(c => !char.IsAsciiLetterLower(c)));
            if (!node.Children.TryGetValue(shortForm, out Node? child))
            {
                child = new Node();
                node.Children[shortForm] = child;
                node.Children[mnemonic] = child;
            }

            node = child;
        }

        if (query)
        {
            node.Query = handler;
        }
        else
        {
            node.Command = handler;
        }
    }

    internal sealed class Node
    {
        public Dictionary<string, Node> Children { get; } = new(StringComparer.OrdinalIgnoreCase);

        public MessageHandler? Query { get; set; }

        public MessageHandler? Command { get; set; }
    }
}
