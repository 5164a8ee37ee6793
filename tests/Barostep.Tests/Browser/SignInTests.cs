using System.Runtime.Versioning;
using Barostep.Daemon.Access;
using Barostep.Tests.Access;
using Barostep.Unattended;
using PuppeteerSharp;

namespace Barostep.Tests.Browser;

/// <summary>A real browser that comes from the network.</summary>
[Collection(OnNetworkHost.Name)]
[SupportedOSPlatform("linux")]
public sealed class SignInTests(NetworkHost host)
{
    [BrowserFact]
    public async Task Who_comes_from_the_network_signs_in_and_works_with_the_queue_under_that_name()
    {
        string path = Environment.GetEnvironmentVariable("PATH")!.Split(Path.PathSeparator)
            .Select(folder => Path.Combine(folder, OperatorBrowser.Program)).First(File.Exists);
        // No authority has signed this host's certificate.
        await using IBrowser browser = await Puppeteer.LaunchAsync(
            new LaunchOptions { ExecutablePath = path, Args = ["--no-sandbox"], AcceptInsecureCerts = true });
        await using IPage page = await browser.NewPageAsync();
        page.DefaultTimeout = (int)ChildProgram.Patience.TotalMilliseconds;
        page.DefaultNavigationTimeout = page.DefaultTimeout;
        await page.GoToAsync($"https://127.0.0.1:{host.Network.Port}/#/queue");
        await page.WaitForSelectorAsync("#sign-in-form input[name=token]", new WaitForSelectorOptions { Visible = true });

        // Nobody has signed in, and the vent is heard all the same: by a bench without a guard, in these tests.
        await PressAsync(page, "#vent");
        await page.WaitForFunctionAsync("() => document.getElementById('vent-note').textContent.includes('Nothing drives this bench')");
        await page.TypeAsync("#sign-in-form input[name=token]", host.TokenFor(AccessRole.Operate, "Night shift"));
        await PressAsync(page, "#sign-in-form button");
        await page.WaitForSelectorAsync("body[data-link=live]");
        await page.WaitForSelectorAsync("#queue-says", new WaitForSelectorOptions { Visible = true });
        await page.WaitForSelectorAsync("#queue-form select[name=procedure] option[value=quick-look]");
        Assert.Equal("Night shift", await page.EvaluateExpressionAsync<string>("document.getElementById('queue-form').who.value"));
        Assert.Empty(await page.GetCookiesAsync() is { } cookies ? cookies.Where(cookie => cookie.HttpOnly != true) : []);

        await page.SelectAsync("#queue-form select[name=device]", "transmitter-16bar");
        await page.SelectAsync("#queue-form select[name=procedure]", "quick-look");
        await PressAsync(page, "#queue-form button[type=submit]");
        await page.WaitForSelectorAsync("[data-remove]");
        QueuedRun added = Assert.Single(host.Store.Queue.Open(), run => run.AddedBy == "Night shift");
        Assert.Equal("quick-look", added.Wish.Procedure);
        await PictureAsync(page, "queue");

        await PressAsync(page, $"[data-remove=\"{added.Id}\"]");
        await page.WaitForFunctionAsync("() => document.getElementById('queue-says').textContent.includes('Nothing waits')");
        await PressAsync(page, "#sign-out");
        await page.WaitForSelectorAsync("#sign-in-form input[name=token]", new WaitForSelectorOptions { Visible = true });
        await PictureAsync(page, "sign-in");
    }

    /// <summary>By the keyboard: what comes in meanwhile can move a button away under a pointer.</summary>
    private static async Task PressAsync(IPage page, string button)
    {
        await page.FocusAsync(button);
        await page.Keyboard.PressAsync("Enter");
    }

    /// <summary>Where a folder for pictures is named, as for the other views.</summary>
    private static async Task PictureAsync(IPage page, string name)
    {
        if (Environment.GetEnvironmentVariable("BAROSTEP_PICTURES") is { Length: > 0 } folder)
            await page.ScreenshotAsync(Path.Combine(folder, $"{name}.png"));
    }
}
