using System.Threading.RateLimiting;
using Barostep.Daemon.Api;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.RateLimiting;

namespace Barostep.Daemon.Access;

/// <summary>How often one address of the network may ask. Stopping is counted nowhere: its endpoints are exempt.</summary>
internal static class RequestRates
{
    /// <summary>A page asks for a dozen things when it is opened, and for one now and then afterwards.</summary>
    public const int Burst = 120;

    private const int PerSecond = 20;

    public static void Set(RateLimiterOptions options)
    {
        options.GlobalLimiter = PartitionedRateLimiter.Create<HttpContext, string>(static http => http.Request.IsHttps
            ? RateLimitPartition.GetTokenBucketLimiter(http.Connection.RemoteIpAddress?.ToString() ?? string.Empty, static _ => new TokenBucketRateLimiterOptions
            {
                TokenLimit = Burst,
                TokensPerPeriod = PerSecond,
                ReplenishmentPeriod = TimeSpan.FromSeconds(1),
                QueueLimit = 0,
            })
            : RateLimitPartition.GetNoLimiter(string.Empty));
        options.OnRejected = static (rejected, _) =>
        {
            rejected.HttpContext.Response.Headers.RetryAfter = "1";
            return new ValueTask(Problems.WriteAsync(
                rejected.HttpContext, StatusCodes.Status429TooManyRequests, "Too often",
                $"One address asks {PerSecond} times a second at most. A vent is never counted."));
        };
    }
}
