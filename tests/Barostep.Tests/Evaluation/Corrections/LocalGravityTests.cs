using Barostep.Evaluation.Corrections;

namespace Barostep.Tests.Evaluation.Corrections;

public sealed class LocalGravityTests
{
    [Theory]
    // Latitude, then WELMEC 2, IGF 1980 and Somigliana (GRS 80): formulas and constants from memory, values computed from them;
    // WELMEC's two first constants were seen in public code.
    [InlineData(0, 9.7803180, 9.7803270, 9.7803268)]
    [InlineData(30, 9.7932402, 9.7932493, 9.7932487)]
    [InlineData(45, 9.8061909, 9.8061999, 9.8061992)]
    [InlineData(50, 9.8106952, 9.8107042, 9.8107036)]
    [InlineData(60, 9.8191698, 9.8191789, 9.8191784)]
    [InlineData(90, 9.8321772, 9.8321862, 9.8321864)]
    public void Each_formula_has_its_values(double latitude, double welmec, double series, double closed)
    {
        Assert.Equal(welmec, LocalGravity.Welmec(latitude), 1e-7);
        Assert.Equal(series, LocalGravity.International1980(latitude), 1e-7);
        Assert.Equal(closed, LocalGravity.Somigliana(latitude), 1e-7);
        Assert.Equal(LocalGravity.Welmec(latitude), LocalGravity.Welmec(-latitude));
    }

    [Theory]
    // The closed formula with the constants of WGS 84, public code of a geodesy library.
    [InlineData(0, 9.7803253)]
    [InlineData(45, 9.8061978)]
    [InlineData(90, 9.8321849)]
    public void All_formulas_agree_with_a_geodetic_ellipsoid_within_their_own_differences(double latitude, double wgs84)
    {
        Assert.Equal(wgs84, LocalGravity.Welmec(latitude), 3e-5);
        Assert.Equal(wgs84, LocalGravity.International1980(latitude), 3e-5);
        Assert.Equal(wgs84, LocalGravity.Somigliana(latitude), 3e-5);
    }

    [Fact]
    public void Gravity_falls_with_height()
    {
        Assert.Equal(9.8058824, LocalGravity.Welmec(45, 100), 1e-7);
        // ICAO standard atmosphere: 9.8036, 9.8005 and 9.7728 m/s² at 1000 m, 2000 m and 11 000 m, from 9.80665 at 0 m.
        Assert.Equal(9.8036, 9.80665 + LocalGravity.Somigliana(45, 1000) - LocalGravity.Somigliana(45), 1e-4);
        Assert.Equal(9.8005, 9.80665 + LocalGravity.Somigliana(45, 2000) - LocalGravity.Somigliana(45), 1e-4);
    }

    [Fact]
    public void Rejects_what_is_no_latitude() => Assert.Throws<ArgumentOutOfRangeException>(() => LocalGravity.Welmec(91));
}
