// The operator page: which bench, which view, and what a person asks for.

import { follow, get, post, vent, Refused } from "./api.js";
import { BenchPage } from "./bench.js";
import * as queue from "./queue.js";
import * as records from "./records.js";
import * as session from "./session.js";
import * as say from "./format.js";

const $ = id => document.getElementById(id);
const page = new BenchPage();
let bench = null;
let following = null;
let askedAt = 0;

// --- Vent: before anything else, so that nothing below can stand in its way -------------------------------------------

async function ask(atOnce) {
  if (!bench) return note("No bench is known yet. Use the manual vent, or barostep vent on the bench's computer.", true);
  note(atOnce ? "Asking to vent as fast as it can …" : "Asking to vent …", false);
  try {
    const done = await vent(bench, atOnce, tries => note(`Not heard yet, try ${tries} …`, true));
    askedAt = performance.now();
    note(done.message, false);
    $("dump").hidden = atOnce;
  } catch (error) {
    note(`${error instanceof Refused ? error.message : "NOT delivered."} Use the manual vent, or barostep vent on the bench's computer.`, true);
  }
}

function note(text, bad) {
  $("vent-note").textContent = text;
  $("vent-note").classList.toggle("bad", bad);
}

$("vent").addEventListener("click", () => ask(false));
$("dump").addEventListener("click", () => ask(true));
document.addEventListener("keydown", event => {
  const typing = event.target.matches?.("input, select, textarea");
  const plain = !event.ctrlKey && !event.altKey && !event.metaKey;
  if (event.repeat || !plain || !(event.key === "F9" || (!typing && event.key.toLowerCase() === "v"))) return;
  event.preventDefault();
  $("vent").classList.add("pressed");
  setTimeout(() => $("vent").classList.remove("pressed"), 300);
  ask(false);
}, true);

// --- One bench at a time ---------------------------------------------------------------------------------------------

async function choose(name) {
  following?.abort();
  following = new AbortController();
  bench = name;
  $("bench-choice").value = name;
  $("dump").hidden = true;
  note("", false);
  page.begin(name);
  fill();
  follow(name, following.signal, (event, data) => {
    page.take(event, data);
    startable();
    settled(data);
  }, () => {
    page.endedOnce = true;
    page.tick();
  }, connect);
}

/** Nothing is left to vent: the offer to do it faster and the note of what was asked have had their time. */
function settled(view) {
  if (!view.guard?.depressurised || $("dump").hidden || performance.now() - askedAt < 6000) return;
  $("dump").hidden = true;
  note("Depressurised by its sensors.", false);
}

/** Who has not signed in can stop a bench all the same. */
function stoppable({ benches, needsToken }) {
  if (!needsToken) return;
  bench = benches.includes(sessionStorage.getItem("bench")) ? sessionStorage.getItem("bench") : benches[0];
  $("which").hidden = benches.length < 2;
  $("bench-choice").replaceChildren(...benches.map(name => say.el("option", { value: name }, name)));
}

let signed = null;

async function connect() {
  for (;;) {
    try {
      signed = await session.ready(stoppable);
      const [benches, choices] = await Promise.all([get("/benches"), get("/workshop")]);
      workshop = choices;
      if (benches.length === 0) {
        note("This daemon serves no bench yet: name one in barostep.toml and start it again.", true);
        await new Promise(go => setTimeout(go, 5000));
        continue;
      }
      $("which").hidden = benches.length < 2;
      $("bench-choice").replaceChildren(...benches.map(one => say.el("option", { value: one.name }, one.title)));
      await choose(benches.some(one => one.name === sessionStorage.getItem("bench")) ? sessionStorage.getItem("bench") : benches[0].name);
      return route();
    } catch {
      page.endedOnce = true;
      page.tick();
      await new Promise(go => setTimeout(go, 1000));
    }
  }
}

$("bench-choice").addEventListener("change", event => {
  sessionStorage.setItem("bench", event.target.value);
  if (!signed) return bench = event.target.value;
  choose(event.target.value);
  route();
});

// --- Starting a run --------------------------------------------------------------------------------------------------

const start = $("start");
let workshop = null;
let plan = null;

function fill() {
  const readable = workshop.readable[bench] ?? [];
  start.device.replaceChildren(...workshop.devices.filter(device => readable.includes(device.name))
    .map(device => say.el("option", { value: device.name }, `${device.title} (${device.serialNumber})`)));
  start.procedure.replaceChildren(...workshop.procedures.map(one => say.el("option", { value: one.name }, one.title)));
  for (const form of [start, $("acknowledge"), $("lower"), $("queue-form")]) form.who.value = signed?.name ?? localStorage.getItem("who") ?? "";
  for (const name of ["device", "procedure"]) $("queue-form")[name].replaceChildren(...[...start[name].options].map(option => option.cloneNode(true)));
  for (const name of ["device", "procedure"]) {
    const kept = localStorage.getItem(name);
    if (kept && [...start[name].options].some(option => option.value === kept)) start[name].value = kept;
  }
}

async function look() {
  plan = null;
  startable();
  if (!bench || !start.device.value) return;
  const asked = `${start.device.value} ${start.procedure.value}`;
  try {
    const told = await get(`/benches/${bench}/plan?device=${encodeURIComponent(start.device.value)}&procedure=${encodeURIComponent(start.procedure.value)}`);
    if (asked === `${start.device.value} ${start.procedure.value}`) plan = told;
    showPlan(told);
  } catch (error) {
    $("plan").replaceChildren(say.el("p", {}, error.message));
  }
  startable();
}

function showPlan(told) {
  const { display, limits } = told;
  const [tightest, next] = limits;
  $("plan").replaceChildren(
    say.el("p", {}, "The ceiling will be ", say.el("strong", {}, say.withUnit(display, told.ceilingPascals)),
      `: ${tightest.source} (${tightest.origin}).`, next ? ` Next: ${say.withUnit(display, next.ceilingPascals)}, ${next.source} (${next.origin}).` : ""),
    say.el("p", {}, `${told.pointCount} points from ${say.own(display, told.nominalPascals[0])} to ${say.own(display, told.nominalPascals.at(-1))} ${say.unitOf(display)}, ${say.left(told.seconds)}.`,
      told.confirmation ? ` You will be asked: ${told.confirmation}` : ""),
    ...told.refusals.map(refusal => say.el("p", { class: "refusal" }, `Refused: ${refusal}`)));
}

/** Why nothing can be started; empty where it can. */
function obstacle() {
  const view = page.view;
  if (page.lost || !view) return "The connection is lost.";
  if (!view.guardConnected || !view.guard) return "The bench has no guard.";
  if (view.guard.trip) return "A trip waits for an acknowledgement.";
  if (view.guard.phase !== "safe") return "The bench is not depressurised yet.";
  if (!plan) return "Choose device and procedure.";
  return plan.refusals.length ? "This run would be refused." : "";
}

function startable() {
  const why = obstacle();
  $("start-button").disabled = why !== "" || start.dataset.busy === "yes";
  if (start.dataset.said !== "yes") $("start-hint").textContent = why;
}

start.addEventListener("change", event => {
  delete start.dataset.said;
  if (event.target.name === "who") return;
  localStorage.setItem(event.target.name, event.target.value);
  look();
});
start.addEventListener("submit", async event => {
  event.preventDefault();
  localStorage.setItem("who", start.who.value);
  start.dataset.busy = "yes";
  await doing($("start-hint"), "Asking the guard …", async () => {
    await post(`/benches/${bench}/runs`, { device: start.device.value, procedure: start.procedure.value, who: start.who.value }, page.view.revision);
    return "";
  }, start);
  delete start.dataset.busy;
  startable();
});

// --- What else a person asks for --------------------------------------------------------------------------------------

async function doing(hint, meanwhile, work, form) {
  if (form) form.dataset.said = "yes";
  hint.classList.remove("bad");
  hint.textContent = meanwhile;
  try {
    hint.textContent = await work();
    if (form) delete form.dataset.said;
    return true;
  } catch (error) {
    hint.textContent = error instanceof Refused ? error.message : "The daemon did not answer; it may or may not have happened. Look at the bench.";
    hint.classList.add("bad");
    return false;
  }
}

const name = () => start.who.value || localStorage.getItem("who") || "operator page";

$("stop-run").addEventListener("click", () => {
  const run = page.view.run;
  // Stopping loses what was measured so far as a result; Vent never asks.
  if (confirm(`Stop this run? ${run.pointsRead} of ${run.pointCount} points are read; the bench vents, and there will be no certificate.`))
    doing($("run-ending"), "", () => post(`/benches/${bench}/stop`, { run: run.id, who: name() }));
});
$("answer").addEventListener("submit", async event => {
  event.preventDefault();
  const { id, prompt } = page.view.run;
  const hint = $("answer-hint");
  try {
    await post(`/benches/${bench}/answer`, { run: id, prompt: prompt.number, answer: $("reading").value, who: name() });
  } catch (error) {
    hint.dataset.refused = "yes";
    hint.setAttribute("aria-live", "assertive");
    hint.textContent = error.message;
    if (prompt.wantsReading) $("reading").select();
  }
});
$("acknowledge").addEventListener("submit", async event => {
  event.preventDefault();
  const form = event.target;
  localStorage.setItem("who", form.who.value);
  const trip = Number(form.dataset.trip);
  const hint = $("acknowledge-hint");
  hint.dataset.refused = String(trip);
  if (await doing(hint, "Asking the guard …", async () => (await post(`/benches/${bench}/acknowledge`, { trip, who: form.who.value, why: form.why.value })).message))
    form.why.value = "";
  setTimeout(() => delete hint.dataset.refused, 8000);
});
$("lower").addEventListener("submit", async event => {
  event.preventDefault();
  const form = event.target;
  localStorage.setItem("who", form.who.value);
  await doing($("lower-hint"), "Asking the guard …", async () =>
    (await post(`/benches/${bench}/ceiling`, { pressure: form.pressure.value, who: form.who.value, why: form.why.value }, page.view.revision)).message);
});

// --- The queue -------------------------------------------------------------------------------------------------------

const queueForm = $("queue-form");

async function asking(meanwhile, work) {
  if (!queueForm.reportValidity()) return;
  localStorage.setItem("who", queueForm.who.value);
  await doing($("queue-hint"), meanwhile, async () => {
    await work(queueForm.who.value);
    return "";
  });
  await showQueue($("view-queue").querySelector("[data-body]"));
}

const showQueue = body => queue.show(body, bench, work => asking("Asking …", work));
queueForm.addEventListener("submit", event => {
  event.preventDefault();
  asking("Adding …", who => queue.add(bench, queueForm, who));
});
$("queue-start").addEventListener("click", () => {
  const mounted = queueForm.device.selectedOptions[0].textContent;
  // No sensor tells which device hangs there, and the ceiling is made for one of them.
  if (confirm(`Start the queue? You have seen that this is mounted on the bench, and nothing else: ${mounted}`))
    asking("Starting …", who => queue.start(bench, queueForm.device.value, who));
});
$("queue-pause").addEventListener("click", () => asking("Pausing …", who => queue.pause(bench, who)));

// --- Views -----------------------------------------------------------------------------------------------------------

const views = {
  bench: () => look(),
  runs: (body, number) => records.runs(body, Number(number) || 1),
  run: records.run,
  devices: records.devices,
  device: records.device,
  limits: async body => records.limits(body, bench, page.view ?? await get(`/benches/${bench}`)),
  queue: body => showQueue(body),
  cautions: () => {},
};

async function route() {
  const [wanted, argument] = location.hash.replace(/^#\//, "").split("/");
  const view = views[wanted] ? wanted : "bench";
  for (const section of document.querySelectorAll("main > .view")) section.hidden = section.id !== `view-${view}`;
  for (const link of document.querySelectorAll("nav a")) {
    const here = link.hash === `#/${view}` || (view === "run" && link.hash === "#/runs") || (view === "device" && link.hash === "#/devices");
    if (here) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  const body = $(`view-${view}`).querySelector("[data-body]");
  try {
    await views[view](body, argument === undefined ? undefined : decodeURIComponent(argument));
  } catch (error) {
    if (!(error instanceof Refused)) console.error(error);
    body?.replaceChildren(say.el("p", { class: "refusal" }, error instanceof Refused ? error.message : "The daemon does not answer."));
  }
}

addEventListener("hashchange", () => {
  route();
  $("main").focus({ preventScroll: true });
  document.querySelector(".page").scrollTo(0, 0);
});
connect();
