using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>All limits that bear on a bench, and on the devices when they are fitted. The tightest one holds.</summary>
public static class BenchLimits
{
    /// <summary>Every upper limit, the tightest first; the first is the effective ceiling.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="device">The device that is fitted, with those that are mounted beside it; null for the bare bench.</param>
    /// <param name="origins">Where the keys were written.</param>
    public static IReadOnlyList<PressureLimit> Ceilings(BenchDefinition bench, DeviceDefinition? device, SourceMap origins)
    {
        var limits = new List<PressureLimit> { At("ceiling set by the user", bench.Ceiling, origins.Of(bench, "ceiling")) };
        foreach (BenchPart part in bench.Parts)
            limits.Add(At($"rating of {part.Name}", part.DeratedRating, origins.Of(bench, $"part.{part.Name}.rating")));
        if (bench.Source is { Definition.RangeTo: { } source } fitted)
            limits.Add(At("range end of source", source, origins.Of(fitted.Definition, "range_to")));
        if (bench.Reference.Definition.RangeTo is { } reference)
            limits.Add(At("range end of reference", reference, origins.Of(bench.Reference.Definition, "range_to")));
        if (device is not null)
            limits.Add(At($"rating of device {device.Name}", device.Rating, origins.Of(device, "rating")));
        foreach (DeviceDefinition beside in bench.Beside.Select(one => one.Device).Where(_ => device is not null))
            limits.Add(At($"rating of device {beside.Name}", beside.Rating, origins.Of(beside, "rating")));
        return [.. limits.OrderBy(limit => limit.Absolute)];

        PressureLimit At(string name, StatedPressure stated, SourcePosition origin) =>
            new(name, stated, stated.ToAbsolute(AtmosphereOf(bench)), origin);
    }

    /// <summary>Every lower limit, the tightest first; the first is the effective floor.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="device">The device that is fitted, with those that are mounted beside it; null for the bare bench.</param>
    /// <param name="origins">Where the keys were written.</param>
    public static IReadOnlyList<PressureLimit> Floors(BenchDefinition bench, DeviceDefinition? device, SourceMap origins)
    {
        var limits = new List<PressureLimit> { At("floor set by the user", bench.Floor, origins.Of(bench, "floor")) };
        foreach (BenchPart part in bench.Parts)
            limits.Add(At($"floor of {part.Name}", part.Floor, origins.Of(bench, $"part.{part.Name}.floor")));
        if (device is not null)
            limits.Add(At($"floor of device {device.Name}", device.Floor, origins.Of(device, "floor")));
        foreach (DeviceDefinition beside in bench.Beside.Select(one => one.Device).Where(_ => device is not null))
            limits.Add(At($"floor of device {beside.Name}", beside.Floor, origins.Of(beside, "floor")));
        return [.. limits.OrderByDescending(limit => limit.Absolute)];

        PressureLimit At(string name, StatedPressure stated, SourcePosition origin) =>
            new(name, stated, stated.ToAbsolute(AtmosphereOf(bench)), origin);
    }

    /// <summary>How far below the effective ceiling the highest set point must stay.</summary>
    /// <remarks>
    /// The bench's own <c>set_point_margin</c>, or 2 % of the way from the atmosphere to the ceiling, as the safety
    /// kernel takes it: a controller that passes its set point a little must not trip the bench.
    /// </remarks>
    public static PressureDifference SetPointMargin(BenchDefinition bench, Pressure effectiveCeiling) =>
        bench.SetPointMargin ?? new PressureDifference((effectiveCeiling - AtmosphereOf(bench)).MilliPascals / 50);

    /// <summary>The atmosphere that the bench's gauge values count from.</summary>
    public static Pressure AtmosphereOf(BenchDefinition bench) => bench.Atmosphere.ToAbsolute(Pressure.Vacuum);
}
