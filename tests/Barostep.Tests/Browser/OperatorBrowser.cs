using Barostep.Tests.Api;
using Barostep.Tests.Certificates;
using PuppeteerSharp;
using PuppeteerSharp.Media;

namespace Barostep.Tests.Browser;

/// <summary>A real browser at the operator page of the served bench.</summary>
internal sealed class OperatorBrowser : IAsyncDisposable
{
    public const string Program = "chromium";

    private readonly IBrowser _browser;
    private readonly ServedBench _served;

    private OperatorBrowser(IBrowser browser, ServedBench served)
    {
        _browser = browser;
        _served = served;
    }

    public static async Task<OperatorBrowser> OpenAsync(ServedBench served)
    {
        string path = Environment.GetEnvironmentVariable("PATH")!.Split(Path.PathSeparator).Select(folder => Path.Combine(folder, Program)).First(File.Exists);
        // Root, as in CI, is let in only without the browser's own sandbox; it opens nothing but this page.
        IBrowser browser = await Puppeteer.LaunchAsync(new LaunchOptions { ExecutablePath = path, Args = ["--no-sandbox"] });
        return new OperatorBrowser(browser, served);
    }

    /// <summary>A person of their own, with nothing kept from another.</summary>
    public async Task<OperatorTab> PersonAsync(int width = 1280, int height = 800, string scheme = "light")
    {
        IBrowserContext context = await _browser.CreateBrowserContextAsync();
        IPage page = await context.NewPageAsync();
        await page.SetViewportAsync(new ViewPortOptions { Width = width, Height = height });
        await page.EmulateMediaFeaturesAsync([new MediaFeatureValue { MediaFeature = MediaFeature.PrefersColorScheme, Value = scheme }]);
        page.DefaultTimeout = (int)ChildProgram.Patience.TotalMilliseconds;
        var tab = new OperatorTab(page, _served.Page);
        await tab.OpenAsync("#/bench");
        return tab;
    }

    public ValueTask DisposeAsync() => _browser.DisposeAsync();
}

/// <summary>One person's page.</summary>
internal sealed class OperatorTab
{
    private readonly Uri _page;

    public OperatorTab(IPage page, Uri address)
    {
        Page = page;
        _page = address;
        page.PageError += (_, error) => Faults.Add(error.Message);
        page.Console += (_, said) =>
        {
            // A refusal by the daemon is written to the console too, and is none of the page's faults.
            if (said.Message.Type == ConsoleType.Error && !said.Message.Text.Contains("the server responded with", StringComparison.Ordinal))
                Faults.Add(said.Message.Text);
        };
    }

    public IPage Page { get; }

    /// <summary>What the page's own script complained of.</summary>
    public List<string> Faults { get; } = [];

    public async Task OpenAsync(string view)
    {
        await Page.GoToAsync(new Uri(_page, view).ToString());
        await Page.WaitForSelectorAsync("body[data-link=live]");
    }

    /// <summary>Chooses device and procedure, and waits until the page offers to start.</summary>
    public async Task ChooseAsync(string who)
    {
        await Page.WaitForSelectorAsync("#start select[name=procedure] option[value=quick]");
        await Page.SelectAsync("#start select[name=procedure]", "quick");
        await Page.TypeAsync("#start input[name=who]", who);
        await Page.WaitForSelectorAsync("#start-button:enabled");
    }

    public async Task StartAsync(string who = "Ada Vahl")
    {
        await ChooseAsync(who);
        await PressStartAsync();
    }

    /// <summary>Presses until a run is seen: a busy machine can take the bench out of rest for a moment, and the button with it.</summary>
    public Task PressStartAsync() => Page.WaitForFunctionAsync(
        """
        () => {
          const start = document.querySelector('#start-button');
          if (!document.querySelector('#start-panel').hidden && !start.disabled) start.click();
          return !document.querySelector('#run-panel').hidden && !document.querySelector('#stop-run').hidden;
        }
        """,
        new WaitForFunctionOptions { PollingInterval = 250 });

    public Task UntilPhaseAsync(string kind) => Page.WaitForSelectorAsync($"#phase[data-kind={kind}]");

    public Task<string> TextAsync(string selector) => Page.EvaluateFunctionAsync<string>("s => document.querySelector(s).textContent", selector);

    /// <summary>By how many pixels the page is wider than its window.</summary>
    public Task<int> OverhangAsync() => Page.EvaluateExpressionAsync<int>(
        "Math.max(document.documentElement.scrollWidth - innerWidth, document.querySelector('.page').scrollWidth - document.querySelector('.page').clientWidth)");
}

/// <summary>Runs where the browser is installed; skipped elsewhere.</summary>
internal sealed class BrowserFactAttribute : FactAttribute
{
    public BrowserFactAttribute() =>
        Skip = ExternalTool.Exists(OperatorBrowser.Program) ? null : $"{OperatorBrowser.Program} is not installed here";
}
