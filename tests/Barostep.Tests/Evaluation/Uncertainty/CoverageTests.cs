using System.Globalization;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class CoverageTests
{
    [Fact]
    public void Table_G2_is_met_in_all_cells_but_its_one_slip_of_print()
    {
        double[] probabilities = [WithinSigma(1), 0.90, 0.95, WithinSigma(2), 0.99, WithinSigma(3)];
        List<string> wrong = [];
        int cells = 0;
        foreach (string line in TableG2.Split('\n', StringSplitOptions.RemoveEmptyEntries))
        {
            string[] fields = line.Split(' ');
            double degrees = fields[0] == "∞" ? double.PositiveInfinity : double.Parse(fields[0], CultureInfo.InvariantCulture);
            for (int i = 0; i < probabilities.Length; i++, cells++)
            {
                double printed = double.Parse(fields[i + 1], CultureInfo.InvariantCulture);
                double half = 0.5 * Math.Pow(10, -fields[i + 1].Split('.')[1].Length);
                // Rounding to the printed digits lies within half a unit of the last; 235.80 is printed to one decimal more than it has.
                double allowed = printed > 100 ? 0.05 : half * 1.000001;
                double factor = Coverage.Factor(probabilities[i], degrees);
                if (Math.Abs(factor - printed) > allowed)
                    wrong.Add($"ν {fields[0]}, column {i + 1}: printed {fields[i + 1]}, computed {factor:F5}");
            }
        }

        Assert.Equal(28 * 6, cells);
        // Printed 1.70; rounded correctly it is 1.69.
        Assert.Equal(["ν 35, column 2: printed 1.70, computed 1.68957"], wrong);
    }

    [Theory]
    // High-precision values of the t distribution.
    [InlineData(0.95, 1, 12.7062047361747, 1e-11)]
    [InlineData(0.95, 10, 2.22813885198627, 1e-12)]
    [InlineData(0.95, 30, 2.04227245630124, 1e-12)]
    [InlineData(0.99, 16, 2.920781622, 1e-9)]
    // NIST Technical Note 1297 (1994), appendix B: ν = 8 gives k = 2.3 for 95 %.
    [InlineData(0.95, 8, 2.306004135, 1e-9)]
    [InlineData(0.95, double.PositiveInfinity, 1.959963984540054, 1e-12)]
    public void Factors_are_good_to_many_digits(double probability, double degrees, double factor, double within) =>
        Assert.Equal(factor, Coverage.Factor(probability, degrees), within);

    [Theory]
    [InlineData(0, 5)]
    [InlineData(1, 5)]
    [InlineData(double.NaN, 5)]
    [InlineData(0.95, 0)]
    [InlineData(0.95, double.NaN)]
    public void Rejects_what_is_no_probability_or_no_degrees_of_freedom(double probability, double degrees) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Coverage.Factor(probability, degrees));

    // erf(σ/√2): what lies within one, two and three standard deviations of a normal distribution.
    private static double WithinSigma(int sigmas) => MathNet.Numerics.SpecialFunctions.Erf(sigmas / Math.Sqrt(2));

    // JCGM 100:2008 Table G.2, as printed: ν, then p = 68.27, 90, 95, 95.45, 99, 99.73 %.
    private const string TableG2 = """
        1 1.84 6.31 12.71 13.97 63.66 235.80
        2 1.32 2.92 4.30 4.53 9.92 19.21
        3 1.20 2.35 3.18 3.31 5.84 9.22
        4 1.14 2.13 2.78 2.87 4.60 6.62
        5 1.11 2.02 2.57 2.65 4.03 5.51
        6 1.09 1.94 2.45 2.52 3.71 4.90
        7 1.08 1.89 2.36 2.43 3.50 4.53
        8 1.07 1.86 2.31 2.37 3.36 4.28
        9 1.06 1.83 2.26 2.32 3.25 4.09
        10 1.05 1.81 2.23 2.28 3.17 3.96
        11 1.05 1.80 2.20 2.25 3.11 3.85
        12 1.04 1.78 2.18 2.23 3.05 3.76
        13 1.04 1.77 2.16 2.21 3.01 3.69
        14 1.04 1.76 2.14 2.20 2.98 3.64
        15 1.03 1.75 2.13 2.18 2.95 3.59
        16 1.03 1.75 2.12 2.17 2.92 3.54
        17 1.03 1.74 2.11 2.16 2.90 3.51
        18 1.03 1.73 2.10 2.15 2.88 3.48
        19 1.03 1.73 2.09 2.14 2.86 3.45
        20 1.03 1.72 2.09 2.13 2.85 3.42
        25 1.02 1.71 2.06 2.11 2.79 3.33
        30 1.02 1.70 2.04 2.09 2.75 3.27
        35 1.01 1.70 2.03 2.07 2.72 3.23
        40 1.01 1.68 2.02 2.06 2.70 3.20
        45 1.01 1.68 2.01 2.06 2.69 3.18
        50 1.01 1.68 2.01 2.05 2.68 3.16
        100 1.005 1.660 1.984 2.025 2.626 3.077
        ∞ 1.000 1.645 1.960 2.000 2.576 3.000
        """;
}
