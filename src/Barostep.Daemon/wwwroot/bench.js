// The bench as it is now. Every value carries its age; what is old is shown as old.

import { get } from "./api.js";
import { LiveChart } from "./chart.js";
import { deviation } from "./plots.js";
import * as say from "./format.js";

const $ = id => document.getElementById(id);

/** Two missed frames and a half: from then on nothing here may look live. */
const lostAfter = 1500;
const staleAfter = 2000;

export class BenchPage {
  constructor() {
    this.chart = new LiveChart($("chart"), $("chart-legend"));
    this.view = null;
    this.points = null;
    this.heardAt = null;
    this.lost = false;
    this.spokenAt = 0;
    this.spoken = "";
    $("chart-range").addEventListener("change", event => { this.chart.range = event.target.value; this.chart.show(); });
    $("chart-span").addEventListener("change", event => { this.chart.span = Number(event.target.value); this.chart.show(); });
    setInterval(() => this.tick(), 250);
  }

  async begin(bench) {
    this.view = this.points = this.heardAt = null;
    this.chart.clear();
    this.tracePending = bench;
  }

  take(name, data) {
    if (name === "points") {
      this.points = data;
      if (this.view) this.showRun();
      return;
    }
    const first = this.view === null || this.lost;
    this.view = data;
    this.heardAt = performance.now();
    if (first) this.recall();
    else this.chart.add(data);
    this.show();
    this.tick();
  }

  /** After a gap the daemon still knows what happened in it. */
  async recall() {
    const display = this.view.display;
    try {
      this.chart.load(await get(`/benches/${this.view.name}/trace`), display);
    } catch {
      this.chart.gap();
    }
  }

  ageOf(milliseconds) {
    return milliseconds === null || milliseconds === undefined || this.heardAt === null ? null : milliseconds + (performance.now() - this.heardAt);
  }

  /** Four times a second, whether or not anything arrives: ages grow, and a silence shows. */
  tick() {
    const silence = this.heardAt === null ? null : performance.now() - this.heardAt;
    const lost = silence === null ? this.endedOnce === true : silence > lostAfter;
    if (lost !== this.lost) {
      this.lost = lost;
      document.body.dataset.link = lost ? "lost" : "live";
      $("lost").hidden = !lost;
      if (lost) this.chart.gap();
    }
    if (lost) $("lost-text").textContent = silence === null ? "The daemon does not answer." : `The last values are ${say.age(silence)}.`;
    $("link").textContent = lost ? "LOST" : silence === null ? "connecting …" : "live";
    if (!lost && silence !== null) document.body.dataset.link = "live";
    if (!this.view) return;
    const guard = this.view.guard;
    this.mark("pressure", guard ? this.ageOf(guard.reference.ageMs) : null, guard?.reference.pascals === null);
    this.mark("source", guard ? this.ageOf(guard.sourceSensor.ageMs) : null, guard?.sourceSensor.pascals === null);
    const indication = this.running()?.indication;
    this.mark("indication", indication ? this.ageOf(indication.ageMs) : null, !indication);
    document.body.dataset.guard = guard && this.view.guardConnected && this.ageOf(guard.ageMs) < staleAfter ? "here" : "away";
    this.showState();
  }

  mark(id, milliseconds, missing) {
    const stale = !missing && (milliseconds === null || milliseconds > staleAfter);
    $(id).classList.toggle("stale", stale || this.lost);
    const age = $(`${id}-age`);
    age.textContent = missing || milliseconds === null ? "" : stale || this.lost ? `${say.age(milliseconds)} – not live` : "";
    age.classList.toggle("old", stale || this.lost);
    if (id === "pressure") {
      $("pressure-panel").classList.toggle("old", stale || this.lost);
      $("pressure-unit").classList.toggle("stale", stale || this.lost);
      $("mini-pressure").classList.toggle("stale", stale || this.lost || missing);
    }
  }

  /** What has just changed is at the top: pressure, state, trip. */
  toTop() {
    document.querySelector(".page").scrollTo(0, 0);
  }

  running() {
    return this.view?.run && !this.view.run.ended ? this.view.run : null;
  }

  show() {
    const { display, guard, run } = this.view;
    const unit = say.unitOf(display);
    $("bench-title").textContent = this.view.title;
    $("simulated").hidden = !this.view.simulated;
    const bad = guard && guard.reference.pascals === null;
    $("pressure").textContent = !guard ? "–" : bad ? "no reading" : say.pressure(display, guard.reference.pascals);
    $("pressure").classList.toggle("words", Boolean(bad));
    $("pressure-unit").textContent = bad ? "" : unit;
    $("pressure-source").textContent = bad ? `reference: ${say.qualityWords[guard.reference.quality]}` : "told by the reference";
    $("source").textContent = guard?.sourceSensor.pascals === null || !guard ? say.qualityWords[guard?.sourceSensor.quality] ?? "–" : say.withUnit(display, guard.sourceSensor.pascals);
    $("ceiling").textContent = guard ? say.withUnit(display, guard.ceilingPascals) : "–";
    const now = this.running();
    $("target").textContent = now ? say.withUnit(display, now.targetPascals) : "none";
    $("left").textContent = now ? say.left(now.timeLeftSeconds) : "–";
    $("progress").textContent = now ? `${now.pointsRead} of ${now.pointCount}` : "–";
    $("indication").textContent = now?.indication ? this.indicationText(now) : now ? "no reading yet" : "read during a run only";
    $("mini-pressure").textContent = !guard || bad ? "no reading" : `${say.pressure(display, guard.reference.pascals)} ${unit}`;
    this.showTrip();
    this.showCauses();
    $("prompt").hidden = !now?.prompt;
    this.showPrompt(now?.prompt);
    this.showRun();
    this.speak();
  }

  /** What a person is asked; a new question takes the keyboard, so that a reading can be typed at once. */
  showPrompt(prompt) {
    if (!prompt) {
      this.prompt = 0;
      return;
    }
    $("prompt").classList.toggle("urgent", prompt.urgent);
    $("prompt-title").textContent = prompt.urgent ? "Vent by hand now" : prompt.wantsAnswer ? "The run waits for you" : "Do this at the bench";
    const left = prompt.secondsLeft === null || !prompt.wantsAnswer ? "" : `The run ends if nobody answers within ${say.left(prompt.secondsLeft)}.`;
    if (this.prompt === prompt.number) {
      if (!$("answer-hint").dataset.refused) $("answer-hint").textContent = left;
      return;
    }
    this.prompt = prompt.number;
    delete $("answer-hint").dataset.refused;
    // The time that is left changes all the while, and is looked up, not spoken.
    $("answer-hint").setAttribute("aria-live", "off");
    $("prompt-text").textContent = prompt.text;
    $("answer").hidden = !prompt.wantsAnswer;
    $("reading-label").hidden = !prompt.wantsReading;
    $("reading").required = prompt.wantsReading;
    $("reading").value = "";
    $("reading-unit").textContent = prompt.unit;
    $("confirm").textContent = prompt.wantsReading ? "Enter" : "Done, go on";
    $("answer-hint").textContent = left;
    // Nobody's typing elsewhere is interrupted.
    const typing = document.activeElement?.matches("input, textarea, select") && document.activeElement.id !== "reading";
    if (prompt.wantsReading && !typing) $("reading").focus();
  }

  indicationText(run) {
    const told = say.withUnit(this.view.display, run.indication.pascals);
    if (run.indication.unit === "A") return `${told} (${say.fixed(run.indication.output * 1000, 3)} mA)`;
    return run.indication.unit === "V" ? `${told} (${say.fixed(run.indication.output, 4)} V)` : told;
  }

  showState() {
    const { guard } = this.view;
    const now = this.running();
    let words;
    let detail = "";
    if (this.lost) [words, detail] = ["not known", "The connection is lost."];
    else if (document.body.dataset.guard === "away") [words, detail] = ["no guard", "Nothing drives this bench; its dump valve is open where it has one."];
    else if (guard.trip) words = `TRIPPED (${guard.trip.number})`;
    else if (now) words = say.phaseWords[now.phase];
    else words = say.guardWords[guard.phase];
    if (!this.lost && guard) {
      if (guard.lineFault) detail = guard.lineFault;
      else if (!detail && guard.depressurised) detail = "By its sensors. Look at a gauge before you touch a fitting.";
      else if (!detail && now?.stopAsked) detail = "Asked to stop: venting.";
      else if (!detail && now) detail = `step ${now.step} of ${now.steps}`;
    }
    $("phase").textContent = words;
    $("phase").dataset.kind = this.lost || document.body.dataset.guard === "away" ? "unknown" : guard.trip ? "trip" : guard.depressurised ? "safe" : "pressure";
    $("phase-detail").textContent = detail;
    $("mini-state").textContent = words;
  }

  showTrip() {
    const trip = this.view.guard?.trip;
    const isNew = trip && $("trip").hidden;
    $("trip").hidden = !trip;
    if (!trip) return;
    if (isNew) this.toTop();
    $("trip-title").textContent = `Trip ${trip.number}: ${trip.firstCause.what}`;
    $("trip-advice").textContent = trip.firstCause.advice;
    $("acknowledge").dataset.trip = trip.number;
    const able = this.view.guard.depressurised;
    $("acknowledge-button").disabled = !able;
    if ($("acknowledge-hint").dataset.refused !== String(trip.number))
      $("acknowledge-hint").textContent = able ? "Name and finding go into the journal." : "Possible once the bench is depressurised.";
  }

  showCauses() {
    const causes = (this.view.guard?.causes ?? []).filter(cause => cause.cause !== this.view.guard.trip?.firstCause.cause);
    const key = causes.map(cause => cause.cause).join();
    if ($("causes").dataset.key === key) return;
    $("causes").dataset.key = key;
    $("causes").hidden = causes.length === 0;
    $("causes").replaceChildren(...causes.map(cause => say.el("li", { "data-verdict": cause.verdict }, say.el("strong", {}, cause.what), " ", cause.advice)));
  }

  showRun() {
    const run = this.view.run;
    $("run-panel").hidden = !run;
    if (this.running() !== null && !$("start-panel").hidden) this.toTop();
    $("start-panel").hidden = this.running() !== null;
    if (!run) return;
    $("stop-run").hidden = run.ended !== null;
    $("run-title").textContent = run.ended ? "The run that ended" : "The run";
    const key = `${run.id} ${run.ended !== null} ${this.points?.run} ${this.points?.points.length}`;
    if (this.runKey === key) return;
    this.runKey = key;
    $("run-facts").textContent = `${run.device.title}, serial ${run.device.serialNumber}${run.device.tag ? `, tag ${run.device.tag}` : ""}; ${run.procedureTitle}; begun ${say.moment(run.startedUtc)} by ${run.who}`;
    $("run-ending").hidden = $("run-documents").hidden = !run.ended;
    if (run.ended) {
      const vent = run.ended.ventConfirmed ? "The bench was seen vented." : "It could NOT be confirmed that the bench is vented: look at a gauge, use the manual vent.";
      $("run-ending").textContent = `${say.outcomeWords[run.ended.outcome]}${run.ended.reason ? `: ${run.ended.reason}` : ""}. ${vent}`;
      const open = (href, words) => say.el("a", { href, target: "_blank", rel: "noopener" }, words);
      const documents = [say.el("a", { href: `#/run/${run.id}` }, "result"), open(`/api/v1/runs/${run.id}/readings`, "readings (CSV)")];
      if (run.ended.outcome === "completed")
        documents.unshift(open(`/api/v1/runs/${run.id}/certificate.pdf`, "certificate (PDF)"), open(`/api/v1/runs/${run.id}/certificate.xml`, "certificate (XML)"));
      $("run-documents").replaceChildren(...documents);
    }
    const points = this.points?.run === run.id ? this.points.points : [];
    pointsTable($("points"), points, this.view.display, run.device);
    $("deviation").replaceChildren(deviation(points, run.device));
  }

  /** Every ten seconds at most, and at once where the state changes; never number after number. */
  speak() {
    const state = $("phase").textContent;
    const now = performance.now();
    if (state === this.spoken && now - this.spokenAt < 10000) return;
    if (state !== this.spoken && now - this.spokenAt < 1000) return;
    this.spoken = state;
    this.spokenAt = now;
    const text = `${state}, ${$("pressure").textContent} ${$("pressure-unit").textContent}`;
    $("say").textContent = text;
    $("chart-words").textContent = `Now ${text}; ceiling ${$("ceiling").textContent}.`;
  }
}

/** The results so far; a device that tells pressure has no output of its own. */
export function pointsTable(place, points, display, device) {
  const electrical = device.output !== "digital";
  const heads = ["#", "series", ">nominal", ">reference", ...(electrical ? [`>output, ${device.output === "current" ? "mA" : "V"}`] : []), ">indication", ">error", ">error, % of span", "verdict"];
  const rows = points.map(point => [
    String(point.index), point.direction === "ascending" ? "up" : "down", say.own(display, point.nominalPascals), say.own(display, point.referencePascals),
    ...(electrical ? [say.fixed(point.output === null ? null : point.output * (device.output === "current" ? 1000 : 1), 4)] : []),
    say.own(display, point.indicationPascals), say.signed(point.errorPascals === null ? null : point.errorPascals / display.unitPascals, display.decimals + 1),
    say.percent(point.errorOfSpan), say.el("span", { class: `verdict ${point.verdict}` }, say.verdictWords[point.verdict], ...(point.marks.length ? [say.el("small", {}, point.marks.join(", "))] : [])),
  ]);
  place.replaceChildren(...say.table(`Pressures in ${say.unitOf(display)}; limit ± ${say.fixed(device.toleranceOfSpan * 100, 3)} % of span`, heads, rows).childNodes);
}
