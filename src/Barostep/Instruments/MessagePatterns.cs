namespace Barostep.Instruments;

/// <summary>A request with places for values: <c>PRES:TARG {value:0.0000}</c>.</summary>
public sealed class RequestTemplate
{
    private RequestTemplate(string text) => Text = text;

    public string Text { get; }

    public static bool TryParse(string text, out RequestTemplate template, out string error)
    {
        template = new RequestTemplate(text);
        error = string.Empty;
        return true;
    }
}

/// <summary>A reply with named parts: <c>{value:number},{unit:word}</c>.</summary>
public sealed class ReplyPattern
{
    private ReplyPattern(string text) => Text = text;

    public string Text { get; }

    public static bool TryParse(string text, out ReplyPattern pattern, out string error)
    {
        pattern = new ReplyPattern(text);
        error = string.Empty;
        return true;
    }
}
