using System.Reflection;
using Barostep.Safety;

namespace Barostep.Tests.Safety.Journal;

/// <summary>Fills every member of a value, found by reflection, so that a member added later is filled and missed too.</summary>
internal sealed class Arbitrary(ulong seed)
{
    private static readonly long[] Corners = [0, 1, -1, long.MaxValue, long.MinValue, 1L << 53, (1L << 53) + 1, 101_325_000];
    private ulong _state = seed;

    public T Make<T>() => (T)Make(typeof(T));

    private object Make(Type type)
    {
        if (Nullable.GetUnderlyingType(type) is { } inner)
            return Make(inner);
        if (type == typeof(Pressure))
            return Pressure.FromMilliPascals(Number());
        if (type == typeof(string))
            return new string([.. Enumerable.Range(0, (int)(Next() % 6)).Select(_ => "aZ \"\\\n\u0001é€漢"[(int)(Next() % 10)])]);
        if (type.IsEnum)
            return Enum.ToObject(type, (byte)Next());
        if (type == typeof(bool))
            return (Next() & 1) == 1;
        if (type == typeof(long))
            return Number();
        if (type == typeof(ulong))
            return (ulong)Number();
        if (type == typeof(int))
            return (int)Number();
        if (type == typeof(uint))
            return (uint)Number();
        Assert.True(type.IsValueType && !type.IsPrimitive, $"no way to make a {type}");
        object value = Activator.CreateInstance(type)!;
        foreach (FieldInfo field in type.GetFields(BindingFlags.Instance | BindingFlags.Public | BindingFlags.NonPublic))
            field.SetValue(value, Make(field.FieldType));
        return value;
    }

    public SafetyLimits MakeLimits()
    {
        SafetyLimits limits = new(
            [
                new LimitContribution(Make<string>(), Pressure.FromMilliPascals(1_000_000_000), null, Make<string>()),
                new LimitContribution(Make<string>(), null, Pressure.FromMilliPascals(50_000_000), Make<string>()),
            ],
            Pressure.StandardAtmosphere,
            1 + (long)(Next() % 1_000_000_000));
        foreach (PropertyInfo property in typeof(SafetyLimits).GetProperties().Where(one => one.SetMethod is not null))
            property.SetValue(limits, Make(property.PropertyType));
        return limits;
    }

    private long Number() => (Next() & 3) == 0 ? Corners[Next() % (ulong)Corners.Length] : (long)(Next() >> (int)(Next() % 64));

    // SplitMix64, public domain by Sebastiano Vigna; constants from memory.
    private ulong Next()
    {
        ulong mixed = _state += 0x9E3779B97F4A7C15;
        mixed = (mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9;
        mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EB;
        return mixed ^ (mixed >> 31);
    }
}
