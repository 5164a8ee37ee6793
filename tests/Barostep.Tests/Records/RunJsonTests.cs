using System.Text;
using Barostep.Evaluation;
using Barostep.Records;
using CsCheck;

namespace Barostep.Tests.Records;

public sealed class RunJsonTests
{
    [Fact]
    public void Any_record_comes_back_as_it_was_written() =>
        SampleRuns.Random.Sample(
            record =>
            {
                byte[] first = Written(record);
                RunRecord read = RunJson.Read(new MemoryStream(first));
                Assert.Equal(Encoding.UTF8.GetString(first), Encoding.UTF8.GetString(Written(read)));
            },
            iter: 200);

    [Fact]
    public void A_record_comes_back_member_for_member()
    {
        RunRecord record = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.001 * share);

        RunRecord read = RunJson.Read(new MemoryStream(Written(record)));

        Assert.Equivalent(record, read, strict: true);
    }

    [Fact]
    public void The_digits_of_a_range_stay_as_they_were_stated()
    {
        string text = Encoding.UTF8.GetString(Written(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0)));

        Assert.Contains("\"value\": 10.0", text, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"cycle\": 1", "\"cycle\": \"one\"", "record.points[0].cycle is \"one\", but must be a whole number")]
    [InlineData("\"direction\": \"ascending\"", "\"direction\": \"up\"", "must be one of ascending, descending")]
    [InlineData("\"bench\":", "\"bank\":", "record.bench is missing")]
    [InlineData("\"schemaVersion\": 1", "\"schemaVersion\": 9", "use the program that wrote the file")]
    [InlineData("\"kind\": \"barostep-run\"", "\"kind\": \"other\"", "but a run.json has \"barostep-run\"")]
    [InlineData("\"record\": {", "\"record\": {{", "line 4, column")]
    public void Rejects_a_changed_file_and_says_where(string from, string to, string says)
    {
        string text = Encoding.UTF8.GetString(Written(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0)));
        byte[] changed = Encoding.UTF8.GetBytes(text.Replace(from, to, StringComparison.Ordinal));

        FormatException error = Assert.Throws<FormatException>(() => RunJson.Read(new MemoryStream(changed)));

        Assert.Contains(says, error.Message, StringComparison.Ordinal);
    }

    internal static byte[] Written(RunRecord record)
    {
        using MemoryStream stream = new();
        RunJson.Write(stream, RunEvaluation.Evaluate(record));
        return stream.ToArray();
    }
}
