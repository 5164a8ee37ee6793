using Barostep.Safety;

namespace Barostep.Tests.Safety.Journal;

public class SignedHeadTests
{
    private static readonly JournalHead Head = new(41, new string('c', 64));

    [Fact]
    public void A_signed_head_survives_its_file_and_is_recognised()
    {
        (string privatePem, string publicPem) = SignedHead.CreateKey();
        SignedHead? read = SignedHead.TryParse(SignedHead.Sign(Head, privatePem).ToJson());
        Assert.Equal(Head, read?.Head);
        Assert.True(read!.IsSignedBy(publicPem));
    }

    [Fact]
    public void Another_number_hash_or_key_is_not_recognised()
    {
        (string privatePem, string publicPem) = SignedHead.CreateKey();
        SignedHead signed = SignedHead.Sign(Head, privatePem);
        Assert.False((signed with { Head = Head with { Sequence = 40 } }).IsSignedBy(publicPem));
        Assert.False((signed with { Head = Head with { Hash = new string('d', 64) } }).IsSignedBy(publicPem));
        Assert.False(signed.IsSignedBy(SignedHead.CreateKey().PublicPem));
        Assert.False((signed with { Signature = "not base64!" }).IsSignedBy(publicPem));
        Assert.False((signed with { Signature = "" }).IsSignedBy(publicPem));
    }

    [Theory]
    [InlineData("")]
    [InlineData("[]")]
    [InlineData("{}")]
    [InlineData("{\"n\":\"1\",\"h\":\"x\",\"signature\":\"y\"}")]
    [InlineData("{\"n\":1.5,\"h\":\"x\",\"signature\":\"y\"}")]
    public void A_file_that_is_no_signed_head_is_refused(string text) => Assert.Null(SignedHead.TryParse(text));
}
