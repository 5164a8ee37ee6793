using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Double;

namespace Barostep.Procedures.Settling;

/// <summary>Sums of a straight-line fit with many slopes and one constant, over pairs that share the constant.</summary>
/// <remarks>An immutable value.</remarks>
internal sealed class PairSums
{
    private readonly int _count;
    private readonly Vector<double> _x;
    private readonly Matrix<double> _xx;
    private readonly Vector<double> _xy;
    private readonly double _y;

    private PairSums(int count, Vector<double> x, Matrix<double> xx, Vector<double> xy, double y)
    {
        _count = count;
        _x = x;
        _xx = xx;
        _xy = xy;
        _y = y;
    }

    public static PairSums Empty { get; } = new(
        0,
        new DenseVector(Relaxations.TimeConstants.Length),
        new DenseMatrix(Relaxations.TimeConstants.Length),
        new DenseVector(Relaxations.TimeConstants.Length),
        0);

    public PairSums Add(Vector<double> x, double y) => new(_count + 1, _x + x, _xx + x.OuterProduct(x), _xy + (x * y), _y + y);

    /// <summary>Products of the slopes' columns once the constant is taken out.</summary>
    public Matrix<double> Products => _count == 0 ? _xx : _xx - (_x.OuterProduct(_x) / _count);

    /// <summary>And with the values.</summary>
    public Vector<double> ProductsWithValues => _count == 0 ? _xy : _xy - (_x * (_y / _count));
}
