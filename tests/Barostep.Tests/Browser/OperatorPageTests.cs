using System.Text;
using System.Text.Json;
using Barostep.Tests.Api;

namespace Barostep.Tests.Browser;

/// <summary>The operator page in a real browser, through the real daemon and guard, on the simulated bench.</summary>
[Collection(OnServedBench.Name)]
public sealed class OperatorPageTests(ServedBench served) : IAsyncLifetime
{
    private OperatorBrowser? _browser;

    public async Task InitializeAsync()
    {
        await served.RestAsync();
        _browser = await OperatorBrowser.OpenAsync(served);
    }

    public async Task DisposeAsync() => await _browser!.DisposeAsync();

    [BrowserFact]
    public async Task A_run_is_started_watched_to_its_end_and_its_certificate_opened()
    {
        OperatorTab person = await _browser!.PersonAsync();
        await person.ChooseAsync("Ada Vahl");
        Assert.Contains("17.000 bar gauge", await person.TextAsync("#plan"), StringComparison.Ordinal);
        Assert.Contains("benches/demo.toml:12", await person.TextAsync("#plan"), StringComparison.Ordinal);
        await person.Page.ClickAsync("#start-button");

        await person.UntilPhaseAsync("pressure");
        await person.Page.WaitForSelectorAsync("#points tbody tr:nth-child(6)");
        await person.Page.WaitForSelectorAsync("#run-ending:not([hidden])");

        Assert.Contains("completed", await person.TextAsync("#run-ending"), StringComparison.Ordinal);
        Assert.Equal(6, await person.Page.EvaluateExpressionAsync<int>("document.querySelectorAll('#deviation .mark').length"));
        string certificate = await person.Page.EvaluateExpressionAsync<string>("document.querySelector('#run-documents a').href");
        byte[] pdf = await served.Client.GetByteArrayAsync(certificate);
        Assert.Equal("%PDF", Encoding.ASCII.GetString(pdf, 0, 4));
        await person.OpenAsync("#/runs");
        await person.Page.WaitForSelectorAsync("#view-runs tbody a");
        await person.Page.ClickAsync("#view-runs tbody a");
        await person.Page.WaitForSelectorAsync("#view-run tbody tr:nth-child(6)");
        Assert.Empty(person.Faults);
    }

    [BrowserFact]
    public async Task The_button_vents_a_running_bench_and_nobody_is_asked_first()
    {
        OperatorTab person = await _browser!.PersonAsync();
        await person.StartAsync();
        await person.UntilPhaseAsync("pressure");
        await person.Page.ClickAsync("#vent");

        await person.Page.WaitForSelectorAsync("#run-ending:not([hidden])");
        Assert.Contains("stopped by the operator", await person.TextAsync("#run-ending"), StringComparison.Ordinal);
        Assert.Contains("seen vented", await person.TextAsync("#run-ending"), StringComparison.Ordinal);
        Assert.Empty(person.Faults);
    }

    [BrowserFact]
    public async Task The_key_vents_from_any_view_and_another_one_while_typing()
    {
        OperatorTab person = await _browser!.PersonAsync();
        await person.OpenAsync("#/cautions");
        await person.Page.Keyboard.PressAsync("v");
        await person.Page.WaitForFunctionAsync("() => document.querySelector('#vent-note').textContent.includes('told to vent')");

        await person.OpenAsync("#/bench");
        await person.Page.ReloadAsync();
        await person.Page.WaitForSelectorAsync("#start select[name=procedure] option[value=quick]");
        await person.Page.FocusAsync("#start input[name=who]");
        await person.Page.Keyboard.TypeAsync("Viv");
        Assert.Equal("", await person.TextAsync("#vent-note"));
        await person.Page.Keyboard.PressAsync("F9");
        await person.Page.WaitForFunctionAsync("() => document.querySelector('#vent-note').textContent.includes('told to vent')");
        Assert.Equal("Viv", await person.Page.EvaluateExpressionAsync<string>("document.querySelector('#start input[name=who]').value"));
    }

    [BrowserFact]
    public async Task Of_two_people_who_start_at_once_one_does_and_both_see_the_same_run()
    {
        OperatorTab one = await _browser!.PersonAsync();
        OperatorTab two = await _browser.PersonAsync();
        await one.ChooseAsync("Ada Vahl");
        await two.ChooseAsync("Bo Lind");
        await Task.WhenAll(one.PressStartAsync(), two.PressStartAsync());

        Assert.Equal(await one.TextAsync("#run-facts"), await two.TextAsync("#run-facts"));
        await two.Page.ClickAsync("#vent");
        await one.Page.WaitForSelectorAsync("#run-ending:not([hidden])");
    }

    [BrowserFact]
    public async Task A_silent_daemon_shows_as_lost_at_once_and_comes_back()
    {
        OperatorTab person = await _browser!.PersonAsync();
        served.Daemon.Signal(ChildProgram.Pause);
        try
        {
            await person.Page.WaitForSelectorAsync("body[data-link=lost]");
            await person.Page.WaitForSelectorAsync("#lost:not([hidden])");
            Assert.Equal("LOST", await person.TextAsync("#link"));
            await person.Page.WaitForFunctionAsync("() => / s old/.test(document.querySelector('#lost-text').textContent)");
            await person.Page.WaitForSelectorAsync("#pressure.stale");
            Assert.Contains("not live", await person.TextAsync("#pressure-age"), StringComparison.Ordinal);
        }
        finally
        {
            served.Daemon.Signal(ChildProgram.GoOn);
        }

        await person.Page.WaitForSelectorAsync("body[data-link=live]");
        await person.Page.WaitForSelectorAsync("#pressure:not(.stale)");
        await person.Page.WaitForSelectorAsync("#lost[hidden]");
    }

    [BrowserFact]
    public async Task No_view_is_wider_than_a_small_phone()
    {
        OperatorTab person = await _browser!.PersonAsync(360, 740, "dark");
        foreach (string view in new[] { "bench", "queue", "runs", "devices", "limits", "cautions" })
        {
            await person.OpenAsync($"#/{view}");
            await person.Page.ReloadAsync();
            await person.Page.WaitForSelectorAsync($"#view-{view}:not([hidden])");
            if (view == "limits")
                await person.Page.WaitForSelectorAsync("#view-limits table");
            Assert.True(await person.OverhangAsync() <= 0, $"{view} is too wide by {await person.OverhangAsync()} px");
        }

        Assert.True(await person.Page.EvaluateExpressionAsync<bool>(
            "(r => r.bottom <= innerHeight && r.height >= 56 && r.width > 300)(document.querySelector('#vent').getBoundingClientRect())"));
    }

    [AxeFact]
    public async Task An_accessibility_check_finds_nothing_serious_in_light_and_dark()
    {
        string axe = await File.ReadAllTextAsync(AxeFactAttribute.Script);
        foreach (string scheme in new[] { "light", "dark" })
        {
            OperatorTab person = await _browser!.PersonAsync(1280, 800, scheme);
            foreach (string view in new[] { "bench", "queue", "runs", "devices", "limits", "cautions" })
            {
                await person.OpenAsync($"#/{view}");
                await person.Page.WaitForSelectorAsync($"#view-{view}:not([hidden])");
                await person.Page.EvaluateExpressionAsync(axe);
                JsonElement found = await person.Page.EvaluateExpressionAsync<JsonElement>(
                    "axe.run().then(r => r.violations.filter(v => ['serious', 'critical'].includes(v.impact)).map(v => v.id + ': ' + v.nodes.map(n => n.html).join(' ')))");
                Assert.True(found.GetArrayLength() == 0, $"{scheme} {view}: {found}");
            }
        }
    }
}
