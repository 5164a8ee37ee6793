// Runs that are done one after the other while nobody looks.

import { get, post } from "./api.js";
import * as say from "./format.js";

const { el } = say;
const stateWords = { waiting: "waiting", running: "goes on", ended: "done", refused: "REFUSED", interrupted: "INTERRUPTED", removed: "taken out" };

function rows(title, runs, more) {
  return say.table(title, ["number", "device", "procedure", "not before", "on failure", "added by", "state", ""], runs.map(run => [
    String(run.id), run.device, run.procedure, run.notBeforeUtc ? say.moment(run.notBeforeUtc) : "", run.onFailure === "goOn" ? "go on" : "stop",
    run.addedBy, run.run ? el("a", { href: `#/run/${run.run}` }, stateWords[run.state]) : stateWords[run.state], more(run),
  ]));
}

/** What the queue of one bench does, in one sentence. */
export function sentence(queue) {
  const next = queue.runs.find(run => run.state === "waiting");
  const first = queue.started ? `Started by ${queue.startedBy}; ${queue.mounted} is mounted.` : "Paused: nothing begins by itself.";
  const then = next ? ` Next: ${next.device}, ${next.procedure}${next.notBeforeUtc ? `, not before ${say.moment(next.notBeforeUtc)}` : ""}.` : " Nothing waits.";
  return first + then + (queue.says ? ` ${queue.says[0].toUpperCase()}${queue.says.slice(1)}.`.replace("..", ".") : "");
}

export const of = async bench => (await get("/queue")).find(one => one.bench === bench);

/** Shows the queue; `ask` does what a button says and shows it anew. */
export async function show(body, bench, ask) {
  const queue = await of(bench);
  const out = run => run.state !== "waiting" ? run.note : el("button", { type: "button", "data-remove": String(run.id) }, `Take out ${run.id}`);
  body.replaceChildren(
    el("p", { id: "queue-says" }, sentence(queue)),
    queue.runs.length ? rows("What goes on and waits, in order", queue.runs, out) : el("p", { class: "hint" }, "The queue is empty."),
    queue.over.length ? rows("Over, newest first", queue.over, run => run.note) : "");
  for (const button of body.querySelectorAll("[data-remove]"))
    button.addEventListener("click", () => ask(who => post(`/queue/${button.dataset.remove}/remove`, { who })));
}

export const add = (bench, form, who) => post(`/benches/${bench}/queue`, {
  device: form.device.value, procedure: form.procedure.value, onFailure: form.onFailure.value,
  // The field has no zone: it is by the clock of who looks at it.
  notBeforeUtc: form.notBefore.value ? new Date(form.notBefore.value).toISOString() : null, who,
});

export const start = (bench, mounted, who) => post(`/benches/${bench}/queue/start`, { mounted, who });
export const pause = (bench, who) => post(`/benches/${bench}/queue/pause`, { who });
