using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Records;

namespace Barostep.Tests.Evaluation;

public sealed class ResultTableTests
{
    [Fact]
    public void A_passed_run_reads_as_a_technician_expects()
    {
        string table = Written(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, direction, share) =>
            0.002 - (0.0035 * share) + (direction == SeriesDirection.Descending ? 0.0004 * share * (1 - share) : 0)));

        Assert.Equal(Expected, table);
    }

    [Theory]
    [InlineData(0.001)]
    [InlineData(0.005)]
    [InlineData(0.025)]
    public void It_fits_a_hundred_columns_and_its_columns_line_up_in_every_unit(double tolerance)
    {
        foreach (PressureUnit unit in PressureUnit.All)
        {
            decimal top = decimal.Round(1_000_000m / unit.Pascals, 2);
            DeviceDefinition device = SampleRuns.Transmitter with
            {
                RangeFrom = new StatedPressure(0, unit, PressureReference.Absolute),
                RangeTo = new StatedPressure(top, unit, PressureReference.Absolute),
                ToleranceOfSpan = tolerance,
            };
            string[] lines = Written(SampleRuns.Run(device, SampleRuns.UpAndDown, (_, _, share) => share - 0.5)).Split('\n');

            int head = Array.FindIndex(lines, line => line.Contains("nominal", StringComparison.Ordinal));
            int verdict = lines[head].IndexOf("verdict", StringComparison.Ordinal);
            // One unit has a name of seven letters, which stands in three heads.
            int most = unit.Symbol.Length > 5 ? 108 : 100;
            Assert.All(lines, line => Assert.True(line.Length <= most, $"{unit}: {line.Length}: {line}"));
            Assert.All(lines[(head + 3)..(head + 15)], line => Assert.True(line[verdict..] is "pass" or "FAIL" or "fault", line));
        }
    }

    [Fact]
    public void Rows_written_one_by_one_are_those_of_the_whole_table()
    {
        DeviceDefinition device = SampleRuns.Transmitter;
        RunRecord record = SampleRuns.Run(device, SampleRuns.UpAndDown with { Descending = false, Cycles = 2 }, (_, _, share) => 0.001 * share);
        using StringWriter writer = new() { NewLine = "\n" };
        ResultTable table = new(writer, device);
        table.WriteTitle(record);
        table.WriteHead();
        foreach (PointRecord point in record.Points)
            table.WriteRow(RunEvaluation.EvaluatePoint(record, point));

        Assert.StartsWith(writer.ToString(), Written(record), StringComparison.Ordinal);
        Assert.Contains("\ncycle 2\n", writer.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void A_digital_device_has_no_output_column()
    {
        string table = Written(SampleRuns.Run(SampleRuns.DigitalGauge, SampleRuns.UpAndDown, (_, _, _) => 0));

        Assert.DoesNotContain("output", table, StringComparison.Ordinal);
        Assert.DoesNotContain("mA", table, StringComparison.Ordinal);
    }

    [Fact]
    public void A_tripped_run_is_not_decided_and_says_why()
    {
        RunRecord whole = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0);
        string table = Written(whole with { Outcome = RunOutcome.Tripped, OutcomeReason = "ceiling passed", Points = [.. whole.Points.Take(3)] });

        Assert.EndsWith("NOT DECIDED: the run was ended by a safety trip: ceiling passed; 9 of 12 points not read\n", table, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(-0.0004, 3, "0.000")]
    [InlineData(0.0005, 3, "+0.001")]
    [InlineData(-0.0021, 3, "-0.002")]
    [InlineData(null, 3, "–")]
    public void Signed_figures_have_no_negative_zero(double? value, int decimals, string expected) =>
        Assert.Equal(expected, ResultFormat.Signed(value, decimals));

    private static string Written(RunRecord record)
    {
        using StringWriter writer = new() { NewLine = "\n" };
        ResultTable.Write(writer, RunEvaluation.Evaluate(record));
        return writer.ToString();
    }

    private const string Expected = """
        device     Return line pressure transmitter, Workshop stock PT-16, serial DH-0417, tag PT-204
        range      0 to 10 bar gauge, output 4 to 20 mA
        limit      ±0.500 % of span (±0.0500 bar)
        bench      heating-workshop, procedure six-up-six-down
        run        0198c0de-0000-7000-8000-000000000001, started 2026-03-29 00:59:59 UTC
        SIMULATED  every reading comes from the simulated bench; no device was calibrated

         #       nominal  reference   output  indication    error   error   limit       s   hyst.  verdict
                   bar g      bar g       mA       bar g      bar  % span  % span  % span  % span
        --------------------------------------------------------------------------------------------------
         1 up      0.000     0.0000   4.0320      0.0200  +0.0200  +0.200   0.500  0.0000          pass
         2 up      2.000     2.0000   7.2208      2.0130  +0.0130  +0.130   0.500  0.0000          pass
         3 up      4.000     4.0000  10.4096      4.0060  +0.0060  +0.060   0.500  0.0000          pass
         4 up      6.000     6.0000  13.5984      5.9990  -0.0010  -0.010   0.500  0.0000          pass
         5 up      8.000     8.0000  16.7872      7.9920  -0.0080  -0.080   0.500  0.0000          pass
         6 up     10.000    10.0000  19.9760      9.9850  -0.0150  -0.150   0.500  0.0000          pass
         7 down   10.000    10.0000  19.9760      9.9850  -0.0150  -0.150   0.500  0.0000   0.000  pass
         8 down    8.000     8.0000  16.7882      7.9926  -0.0074  -0.074   0.500  0.0000  +0.006  pass
         9 down    6.000     6.0000  13.5999      6.0000   0.0000   0.000   0.500  0.0000  +0.010  pass
        10 down    4.000     4.0000  10.4111      4.0070  +0.0070  +0.070   0.500  0.0000  +0.010  pass
        11 down    2.000     2.0000   7.2218      2.0136  +0.0136  +0.136   0.500  0.0000  +0.006  pass
        12 down    0.000     0.0000   4.0320      0.0200  +0.0200  +0.200   0.500  0.0000   0.000  pass

        largest error       +0.200 % of span at point 1 (limit ±0.500 %)
        largest hysteresis  +0.010 % of span (down less up)
        zero shift          +0.020 % of span (before 0.000 %, after +0.020 %)
        fitted zero error   +0.2027 % of span, u = 0.0022 %
        fitted span error   -0.3500 % of span, u = 0.0036 %
                            least squares over all points; u from their scatter about the line alone

        PASSED: all 12 points within ±0.500 % of span

        """;
}
