namespace Barostep.Evaluation.Devices;

/// <summary>The ideal relation between pressure and signal, both as shares of their spans.</summary>
public abstract record SignalTransfer
{
    private SignalTransfer()
    {
    }

    /// <summary>Share of the signal's span at a share of the pressure's.</summary>
    public abstract double SignalShare(double pressureShare);

    /// <summary>Share of the pressure's span that a share of the signal's tells.</summary>
    public abstract double PressureShare(double signalShare);

    /// <summary>By how much the pressure's share rises with the signal's, at a share of the signal.</summary>
    public virtual double Slope(double signalShare)
    {
        const double step = 1e-6;
        return (PressureShare(signalShare + step) - PressureShare(signalShare - step)) / (2 * step);
    }

    /// <summary>Signal in proportion to pressure.</summary>
    public sealed record Linear : SignalTransfer
    {
        public override double SignalShare(double pressureShare) => pressureShare;

        public override double Slope(double signalShare) => 1;

        public override double PressureShare(double signalShare) => signalShare;
    }

    /// <summary>
    /// Signal in proportion to the root of a differential pressure, and so to flow: signal share = √(pressure share). A
    /// pressure below the lower range end is told as the lower end of the signal, and the other way round.
    /// </summary>
    public sealed record SquareRoot : SignalTransfer
    {
        public override double SignalShare(double pressureShare) => Math.Sqrt(Math.Max(0, pressureShare));

        public override double PressureShare(double signalShare) => signalShare <= 0 ? 0 : signalShare * signalShare;
    }

    /// <summary>Straight between points; both columns rise.</summary>
    public sealed record Table : SignalTransfer
    {
        private readonly double[] _pressures;
        private readonly double[] _signals;

        /// <exception cref="ArgumentException">There are fewer than two points, or a column does not rise.</exception>
        public Table(IReadOnlyList<(double PressureShare, double SignalShare)> points)
        {
            _pressures = [.. points.Select(point => point.PressureShare)];
            _signals = [.. points.Select(point => point.SignalShare)];
            if (points.Count < 2 || !Rises(_pressures) || !Rises(_signals))
                throw new ArgumentException("a transfer table has two points or more, and both its columns rise", nameof(points));
        }

        /// <summary>As given.</summary>
        public IReadOnlyList<(double PressureShare, double SignalShare)> Points => [.. _pressures.Zip(_signals)];

        public bool Equals(Table? other) =>
            other is not null && _pressures.SequenceEqual(other._pressures) && _signals.SequenceEqual(other._signals);

        public override int GetHashCode() => HashCode.Combine(_pressures.Length, _pressures[^1], _signals[^1]);

        public override double SignalShare(double pressureShare) => Interpolation.At(_pressures, _signals, pressureShare);

        public override double PressureShare(double signalShare) => Interpolation.At(_signals, _pressures, signalShare);

        private static bool Rises(double[] values) => values.Zip(values.Skip(1)).All(pair => pair.Second > pair.First);
    }
}
