using System.Reflection;
using Barostep.Control;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Tests.Control;

/// <summary>What the compiler and the assemblies themselves say about who can make pressure.</summary>
public class NothingBypassesTests
{
    private const BindingFlags All =
        BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;

    private static readonly Assembly[] Program =
        [typeof(GuardHalf).Assembly, typeof(Barostep.Lines.LinePump).Assembly, typeof(Barostep.Guard.GuardBody).Assembly, typeof(Barostep.Daemon.ExitCodes).Assembly];

    /// <summary>
    /// The sources' and the relay's owners; what a service manager runs after the guard has ended: it can only vent; and the
    /// probe of an instrument that is on no bench: it can ask, and let pressure go (InstrumentProbe.MaySend).
    /// </summary>
    private static readonly string[] Owners =
        ["Barostep.Control.RelayLink", "Barostep.Control.SourceLink", "Barostep.Control.Valves.ValveLink", "Barostep.Guard.VentHelper", "Barostep.Instruments.Probing.InstrumentProbe"];

    [Fact]
    public void A_decision_can_only_come_from_the_kernel()
    {
        Assert.Empty(typeof(Decision).GetConstructors(BindingFlags.Public | BindingFlags.Instance));
        Assert.All(typeof(Decision).GetProperties(), p => Assert.Null(p.SetMethod));
        // Internal is only as narrow as the assemblies that are let in.
        Assert.Empty(typeof(Decision).Assembly.GetCustomAttributes<System.Runtime.CompilerServices.InternalsVisibleToAttribute>());
    }

    [Fact]
    [Trait("SR", "12")]
    public void The_decision_that_nobody_made_permits_nothing()
    {
        Decision none = default;
        Assert.Equal(SafetyAction.Rest, none.Action);
        Assert.Equal(0, none.LeaseUntilMicros);
        Assert.False(none.KeepAlive);
    }

    [Theory]
    [InlineData(InstrumentRole.Controller)]
    [InlineData(InstrumentRole.Valves)]
    [InlineData(InstrumentRole.Relay)]
    public void A_probe_sends_nothing_that_can_raise_pressure(InstrumentRole role)
    {
        InstrumentDefinition definition = Barostep.Tests.Instruments.TestInstruments.Controller() with { Role = role };

        Assert.All(Enum.GetValues<Capability>(), capability => Assert.False(
            capability.CanRaisePressure() && Barostep.Instruments.Probing.InstrumentProbe.MaySend(definition, capability)));
    }

    [Fact]
    [Trait("SR", "04, 12")]
    public void Only_its_owner_gives_commands_to_an_instrument()
    {
        MethodBase[] callers = [.. Methods().Where(m => m.DeclaringType != typeof(InstrumentDriver) && Calls(m, IsCommand))];
        Assert.NotEmpty(callers);
        Assert.Equal(Owners, callers.Select(m => OwnerOf(m).FullName).Distinct().Order(StringComparer.Ordinal));
    }

    [Theory]
    [InlineData("Barostep.Control.SourceLink")]
    [InlineData("Barostep.Control.Valves.ValveLink")]
    public void Whoever_makes_a_source_link_act_shows_it_a_decision(string name)
    {
        Type link = typeof(GuardHalf).Assembly.GetType(name, throwOnError: true)!;
        Assert.False(link.IsPublic);
        var commanding = new HashSet<MethodBase>(Methods().Where(m => OwnerOf(m) == link && Calls(m, IsCommand)));
        for (int before = -1; before != commanding.Count;)
        {
            before = commanding.Count;
            commanding.UnionWith(Methods().Where(m => OwnerOf(m) == link && Calls(m, commanding.Contains)));
        }

        MethodBase[] reachable = [.. commanding.Where(m => !m.IsPrivate)];
        Assert.Equal(["Act"], reachable.Select(m => m.Name));
        Assert.All(reachable, m => Assert.Contains(m.GetParameters(), p => p.ParameterType == typeof(Decision).MakeByRefType()));
    }

    private static bool IsCommand(MethodBase method) =>
        method.DeclaringType == typeof(InstrumentDriver) && method.Name == nameof(InstrumentDriver.Command);

    private static Type OwnerOf(MethodBase method)
    {
        Type type = method.DeclaringType!;
        while (type.DeclaringType is { } outer)
            type = outer;
        return type;
    }

    private static IEnumerable<MethodBase> Methods() =>
        Program.SelectMany(a => a.GetTypes()).SelectMany(t => t.GetMethods(All).Cast<MethodBase>().Concat(t.GetConstructors(All)));

    /// <summary>Whether a method's code holds a call of, or a reference to, a method that is looked for.</summary>
    private static bool Calls(MethodBase method, Func<MethodBase, bool> wanted)
    {
        byte[] code = method.GetMethodBody()?.GetILAsByteArray() ?? [];
        for (int i = 0; i + 4 < code.Length; i++)
        {
            // call, callvirt, and the second byte of ldftn: what else happens to look like one resolves to nothing that is wanted.
            if (code[i] is 0x28 or 0x6F or 0x06 && Resolve(method, BitConverter.ToInt32(code, i + 1)) is { } called && wanted(called))
                return true;
        }

        return false;
    }

    private static MethodBase? Resolve(MethodBase within, int token)
    {
        try
        {
            Type[]? ofType = within.DeclaringType!.IsGenericType ? within.DeclaringType.GetGenericArguments() : null;
            return within.Module.ResolveMethod(token, ofType, within.IsGenericMethod ? within.GetGenericArguments() : null);
        }
        catch (Exception e) when (e is ArgumentException or BadImageFormatException)
        {
            return null;
        }
    }
}
