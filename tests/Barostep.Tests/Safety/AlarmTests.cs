using Barostep.Safety;

namespace Barostep.Tests.Safety;

public sealed class AlarmTests
{
    private const long Minute = 60_000_000;

    private readonly AlarmPanel _panel = new();
    private long _now = Minute;

    [Fact]
    [Trait("SR", "27")]
    public void An_acknowledgement_clears_nothing_and_what_clears_stays_unacknowledged()
    {
        See(Cause.VentSlow);
        Assert.Equal(AlarmState.ActiveUnacknowledged, StateOf(Cause.VentSlow));
        See();
        Assert.Equal(AlarmState.ClearedUnacknowledged, StateOf(Cause.VentSlow));
        Assert.Empty(Do(AlarmAction.Acknowledge));
        Assert.Equal(AlarmState.Normal, StateOf(Cause.VentSlow));

        See(Cause.VentSlow);
        Do(AlarmAction.Acknowledge);
        See(Cause.VentSlow);
        Assert.Equal(AlarmState.ActiveAcknowledged, StateOf(Cause.VentSlow));
        See();
        Assert.Equal(AlarmState.Normal, StateOf(Cause.VentSlow));
    }

    [Fact]
    [Trait("SR", "27")]
    public void The_alarm_of_a_trip_stays_active_until_the_kernel_lets_go_of_it_however_often_it_is_acknowledged()
    {
        CauseSet trip = CauseSet.Of(Cause.OverCeiling);
        _panel.Follow(trip, trip, Cause.OverCeiling, ++_now);
        Do(AlarmAction.Acknowledge);
        _panel.Follow(CauseSet.Empty, trip, Cause.OverCeiling, ++_now);
        Assert.Equal(AlarmState.ActiveAcknowledged, StateOf(Cause.OverCeiling));
        See();
        Assert.Equal(AlarmState.Normal, StateOf(Cause.OverCeiling));
    }

    [Fact]
    [Trait("SR", "27")]
    public void A_shelved_alarm_comes_back_by_itself_and_one_out_of_service_when_it_is_returned()
    {
        See(Cause.ReferenceLate);
        Assert.NotEmpty(Do(AlarmAction.Shelve, Cause.ReferenceLate, 31));
        Assert.NotEmpty(Do(AlarmAction.Shelve, Cause.ReferenceLate, 0));
        Assert.Empty(Do(AlarmAction.Shelve, Cause.ReferenceLate, 30));
        See(Cause.ReferenceLate);
        Assert.Equal((AlarmState.Shelved, Cause.None), (StateOf(Cause.ReferenceLate), _panel.Summary.First));
        _now += (30 * Minute) - 3;
        See(Cause.ReferenceLate);
        Assert.Equal(AlarmState.Shelved, StateOf(Cause.ReferenceLate));
        See(Cause.ReferenceLate);
        Assert.Equal((AlarmState.ActiveUnacknowledged, Cause.ReferenceLate), (StateOf(Cause.ReferenceLate), _panel.Summary.First));

        Assert.Empty(Do(AlarmAction.TakeOutOfService, Cause.ReferenceLate));
        _now += 24 * 60 * Minute;
        See(Cause.ReferenceLate);
        Assert.Equal(AlarmState.OutOfService, StateOf(Cause.ReferenceLate));
        Assert.Empty(Do(AlarmAction.Return, Cause.ReferenceLate));
        See(Cause.ReferenceLate);
        Assert.Equal(AlarmState.ActiveUnacknowledged, StateOf(Cause.ReferenceLate));
    }

    [Fact]
    [Trait("SR", "27, 29")]
    public void What_aborts_trips_or_drops_is_never_kept_back()
    {
        foreach (CausePolicy policy in CausePolicy.All)
        {
            bool severe = policy.Verdict >= Verdict.Abort;
            Assert.Equal(severe, Do(AlarmAction.Shelve, policy.Cause, 1).Length > 0);
            Assert.Equal(severe, Do(AlarmAction.TakeOutOfService, policy.Cause).Length > 0);
            Assert.Equal(severe, StateOf(policy.Cause) is not (AlarmState.Shelved or AlarmState.OutOfService));
        }
    }

    [Fact]
    [Trait("SR", "28")]
    public void What_follows_from_a_cause_is_attached_to_its_alarm_and_raises_none_of_its_own()
    {
        See(Cause.HeadingOverCeiling);
        CauseSet trip = CauseSet.Of(Cause.UnitChanged);
        _panel.Follow(trip | CauseSet.Of(Cause.SensorsDisagree), trip, Cause.UnitChanged, ++_now);
        CauseSet later = trip | CauseSet.Of(Cause.SensorsDisagree) | CauseSet.Of(Cause.VentSlow);
        _panel.Follow(later, later - CauseSet.Of(Cause.VentSlow), Cause.UnitChanged, ++_now);

        Assert.Equal(Cause.UnitChanged, _panel.Summary.First);
        Assert.Equal(CauseSet.Of(Cause.SensorsDisagree) | CauseSet.Of(Cause.VentSlow), _panel.Summary.Consequences);
        for (int i = 0; i < 20; i++)
        {
            _panel.Follow(later, later - CauseSet.Of(Cause.VentSlow), Cause.UnitChanged, ++_now);
            _panel.Follow(later - CauseSet.Of(Cause.VentSlow), later - CauseSet.Of(Cause.VentSlow), Cause.UnitChanged, ++_now);
        }

        Assert.False(_panel.Summary.Flood);
    }

    [Fact]
    [Trait("SR", "28")]
    public void More_than_ten_alarms_within_ten_minutes_are_a_flood_until_they_thin_out()
    {
        for (int i = 0; i < 10; i++)
            Once();
        Assert.False(_panel.Summary.Flood);
        Once();
        Assert.True(_panel.Summary.Flood);
        _now += 10 * Minute;
        See();
        Assert.False(_panel.Summary.Flood);

        void Once()
        {
            See(Cause.VentSlow);
            See();
        }
    }

    private void See(params Cause[] causes)
    {
        CauseSet set = CauseSet.Empty;
        foreach (Cause cause in causes)
            set = set.With(cause);
        _panel.Follow(set, CauseSet.Empty, Cause.None, ++_now);
    }

    private string Do(AlarmAction action, Cause cause = Cause.None, int minutes = 0) => _panel.Do(action, cause, minutes * Minute, _now);

    private AlarmState StateOf(Cause cause) => _panel.Summary.StateOf(cause);
}
