// The way to the daemon.

const base = "/api/v1";

/** An answer that is no yes, in the daemon's own words. */
export class Refused extends Error {
  constructor(status, problem) {
    super(problem?.detail ?? problem?.title ?? `the daemon answered ${status}`);
    this.status = status;
  }
}

async function answer(response) {
  const type = response.headers.get("content-type") ?? "";
  const body = type.includes("json") ? await response.json() : null;
  if (!response.ok) throw new Refused(response.status, body);
  return body;
}

export async function get(path) {
  return answer(await fetch(base + path, { headers: { Accept: "application/json" } }));
}

export async function post(path, body, revision) {
  const headers = { "Content-Type": "application/json" };
  if (revision) headers["If-Match"] = `"${revision}"`;
  return answer(await fetch(base + path, { method: "POST", headers, body: JSON.stringify(body) }));
}

export async function remove(path) {
  return answer(await fetch(base + path, { method: "DELETE" }));
}

/** Asks for a vent until the daemon has heard it, for ten seconds at most; `told` hears of every try. */
export async function vent(bench, atOnce, told) {
  const until = performance.now() + 10000;
  for (let tries = 1; ; tries++) {
    try {
      const response = await fetch(`${base}/benches/${bench}/vent${atOnce ? "?atOnce=true" : ""}`,
        { method: "POST", keepalive: true, signal: AbortSignal.timeout(1500) });
      return await answer(response);
    } catch (error) {
      if (error instanceof Refused || performance.now() > until) throw error;
      told(tries);
      await new Promise(go => setTimeout(go, 400));
    }
  }
}

/** Follows a bench until the signal says otherwise; tells every event, every end of the connection, and when it takes a sign-in. */
export async function follow(bench, signal, onEvent, onEnd, onSignedOut) {
  while (!signal.aborted) {
    const silence = new AbortController();
    let watchdog;
    // A connection that is open and says nothing is no connection.
    const heard = () => {
      clearTimeout(watchdog);
      watchdog = setTimeout(() => silence.abort(), 4000);
    };
    try {
      heard();
      const response = await fetch(`${base}/benches/${bench}/live`, { signal: AbortSignal.any([signal, silence.signal]), cache: "no-store" });
      if (!response.ok) throw new Refused(response.status, null);
      await events(response.body, (name, data) => {
        heard();
        onEvent(name, JSON.parse(data));
      });
    } catch (error) {
      // However it ended, what is shown is not live any more.
      if (error.status === 401) {
        clearTimeout(watchdog);
        onEnd();
        return onSignedOut();
      }
    }
    clearTimeout(watchdog);
    if (signal.aborted) return;
    onEnd();
    await new Promise(go => setTimeout(go, 800));
  }
}

async function events(body, onEvent) {
  const reader = body.pipeThrough(new TextDecoderStream()).getReader();
  let text = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    text += value;
    for (let end = text.indexOf("\n\n"); end >= 0; end = text.indexOf("\n\n")) {
      const fields = text.slice(0, end).split("\n");
      text = text.slice(end + 2);
      const field = name => fields.filter(line => line.startsWith(`${name}: `)).map(line => line.slice(name.length + 2)).join("\n");
      onEvent(field("event"), field("data"));
    }
  }
}
