// What was measured: runs, devices, limits, trips.

import { get } from "./api.js";
import { pointsTable } from "./bench.js";
import { deviation, drift } from "./plots.js";
import * as say from "./format.js";

const { el } = say;
const link = (href, words) => el("a", { href }, words);
const open = (href, words) => el("a", { href, target: "_blank", rel: "noopener" }, words);

function runRows(runs) {
  return say.table("Newest first", ["started", "device", "serial", "procedure", ">points", ">largest error, % of span", "verdict"],
    runs.map(run => [
      link(`#/run/${run.id}`, say.moment(run.startedUtc)), run.device, run.serialNumber, run.procedure, String(run.points), say.percent(run.largestErrorOfSpan),
      el("span", { class: `verdict ${run.outcome === "completed" ? run.verdict : "notDecided"}` },
        run.outcome === "completed" ? say.verdictWords[run.verdict] : say.outcomeWords[run.outcome], run.simulated ? " (simulated)" : ""),
    ]));
}

export async function runs(body, page = 1) {
  const list = await get(`/runs?page=${page}`);
  if (list.count === 0) return body.replaceChildren(el("p", {}, "No run was recorded yet."));
  const pages = el("p", { class: "documents" });
  if (list.page > 1) pages.append(link(`#/runs/${list.page - 1}`, "newer"));
  if (list.page < list.pages) pages.append(link(`#/runs/${list.page + 1}`, "older"));
  body.replaceChildren(runRows(list.runs), pages, el("p", { class: "hint" }, `page ${list.page} of ${list.pages}, ${list.count} runs`));
}

export async function run(body, id) {
  const record = await get(`/runs/${encodeURIComponent(id)}`);
  const facts = el("dl", { class: "facts" });
  const fact = (name, text) => facts.append(el("div", {}, el("dt", {}, name), el("dd", {}, text)));
  fact("Device", `${record.device.title}, ${record.device.manufacturer} ${record.device.model}, serial ${record.device.serialNumber}`);
  fact("Procedure", record.procedure);
  fact("Begun", say.moment(record.startedUtc));
  fact("Ended", `${say.moment(record.endedUtc)}, ${say.outcomeWords[record.outcome]}${record.outcomeReason ? `: ${record.outcomeReason}` : ""}`);
  fact("Verdict", record.reasons.length ? `${say.verdictWords[record.verdict]}: ${record.reasons.join("; ")}` : say.verdictWords[record.verdict]);
  fact("Ceiling", say.withUnit(record.display, record.ceilingPascals));
  fact("Highest seen", say.withUnit(record.display, record.highestPascals));
  fact("Vent", record.ventConfirmed ? "seen by the sensors" : "NOT confirmed");
  const base = `/api/v1/runs/${record.id}`;
  const documents = el("p", { class: "documents" },
    ...(record.hasCertificate ? [
      open(`${base}/certificate.pdf`, record.certificates.length ? `certificate ${record.certificates[0]} (PDF)` : "draft certificate (PDF)"),
      open(`${base}/certificate.xml`, "certificate (XML)")] : []),
    open(`${base}/readings`, "readings (CSV)"), open(`${base}/record`, "whole record (JSON)"),
    link(`#/device/${encodeURIComponent(record.device.serialNumber)}`, "history of this device"));
  const points = el("table", {});
  pointsTable(points, record.points, record.display, record.device);
  body.replaceChildren(
    record.simulated ? el("p", { class: "simulated" }, "A run on a simulated bench: it says nothing about a real device.") : "",
    el("div", { class: "panel" }, facts, documents),
    el("div", { class: "panel results" },
      el("figure", {}, el("figcaption", {}, "Deviation from the reference"), deviation(record.points, record.device)),
      el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Results" }, points)));
}

export async function devices(body) {
  const list = await get("/devices");
  if (list.length === 0) return body.replaceChildren(el("p", {}, "No device was calibrated here yet."));
  body.replaceChildren(say.table(null, ["device", "tag", "manufacturer, model", ">runs", "last run", "verdict", "due"],
    list.map(device => [
      link(`#/device/${encodeURIComponent(device.serialNumber)}`, `${device.name}, ${device.serialNumber}`), device.tag, `${device.manufacturer} ${device.model}`,
      String(device.runs), say.moment(device.lastRunUtc), el("span", { class: `verdict ${device.lastVerdict}` }, say.verdictWords[device.lastVerdict]), device.dueOn ?? "–",
    ])));
}

export async function device(body, name) {
  const history = await get(`/devices/${encodeURIComponent(name)}`);
  const { manufacturer, model, serialNumber, tag } = history.device;
  const parts = [el("p", {}, `${manufacturer} ${model}, serial ${serialNumber}${tag ? `, tag ${tag}` : ""}`)];
  if (history.drift.length > 0) {
    const chart = el("div", {});
    const choice = el("select", {}, history.drift.map((series, i) =>
      el("option", { value: i }, `${say.fixed(series.nominalOfSpan * 100, 1)} % of span, ${series.direction === "ascending" ? "up" : "down"}`)));
    const show = () => {
      const series = history.drift[Number(choice.value)];
      chart.replaceChildren(drift(series, history.toleranceOfSpan), el("p", { class: "hint" },
        `Drift ${say.percent(series.perYearOfSpan)} % of span a year, U ${say.fixed((series.perYearExpandedUncertaintyOfSpan ?? NaN) * 100, 3)} % (k = 2)`
        + `${series.reachedOn ? `; reaches the tolerance about ${series.reachedOn}` : ""}.`));
    };
    choice.value = history.drift.length - 1;
    choice.addEventListener("change", show);
    show();
    parts.push(el("div", { class: "panel" }, el("div", { class: "heading" }, el("h2", {}, "Drift"), el("label", {}, "At ", choice)), el("figure", {}, chart)));
  } else {
    parts.push(el("p", { class: "hint" }, "A drift shows from calibrations on different days."));
  }
  const proposal = history.proposal;
  parts.push(el("div", { class: "panel" }, el("h2", {}, "Interval"),
    el("p", {}, proposal.months ? `Proposed: ${proposal.months} months, until ${proposal.nextOn}: ` : "None proposed: ", proposal.reason)));
  parts.push(el("div", { class: "panel scroll", tabindex: "0", role: "region", "aria-label": "Runs of this device" }, runRows(history.runs)));
  body.replaceChildren(...parts);
}

export async function limits(body, bench, view) {
  const display = view.display;
  const report = await get(`/benches/${bench}/limits${view.run && !view.run.ended ? `?device=${view.run.device.name}` : ""}`);
  const parts = [el("div", { class: "panel scroll", tabindex: "0", role: "region", "aria-label": "Limits" }, el("h2", {}, "Limits"),
    el("p", {}, el("strong", {}, report.permitted ? "Permitted. " : "REFUSED. "),
      `In force ${say.withUnit(display, view.guard?.ceilingPascals)}; by the files ${say.withUnit(display, report.ceiling_pa)}, set by: ${report.ceiling_from} (${report.ceiling_origin}).`),
    report.attended_only_because.length ? el("p", {}, `Only with somebody present: ${report.attended_only_because.join("; ")}.`) : null,
    say.table(`In ${say.unitOf(display)}`, ["limit", ">ceiling", ">floor", "written in"], report.limits.map(limit => [
      limit.source, say.pressure(display, limit.ceiling_pa), say.pressure(display, limit.floor_pa), limit.origin])),
    say.table("Worst that the bench could do", ["if", ">after, s", ">rise", ">worst"], report.paths.map(path => [
      path.name, say.fixed(path.total_s, 3), say.fixed(path.total_rise_pa / display.unitPascals, display.decimals), say.pressure(display, path.worst_pa)])),
    el("p", { class: "hint" }, `Stored energy at the ceiling: ${say.fixed(report.stored_energy_j, 0)} J.`))];
  body.replaceChildren(...parts);
  body.append(await trips(bench, display));
}

async function trips(bench, display) {
  const panel = el("div", { class: "panel scroll", tabindex: "0", role: "region", "aria-label": "Trips" }, el("h2", {}, "Trips in the newest journal"));
  try {
    const { file, report } = await get(`/benches/${bench}/trips`);
    const at = wall => say.moment(new Date(wall));
    panel.append(report.trips.length === 0 ? el("p", {}, "None.") : say.table(`Pressures in ${say.unitOf(display)}`,
      ["when", ">trip", "first cause", ">reference", ">source", ">ceiling", "acknowledged by", ">entry"], report.trips.map(trip => [
        at(trip.wall_ms), String(trip.trip), trip.first_cause, say.pressure(display, trip.reference_pa), say.pressure(display, trip.source_sensor_pa),
        say.pressure(display, trip.ceiling_pa), trip.acknowledged_by || "nobody yet", String(trip.entry)])));
    panel.append(say.table("Who set which limits", ["when", ">ceiling", "governed by", "who", "why"], report.limits.map(limit => [
      at(limit.wall_ms), say.pressure(display, limit.ceiling_pa), limit.governed_by, limit.who, limit.why])));
    panel.append(el("p", { class: "hint" }, `From ${file}: ${report.entries} entries, ${report.cycles} cycles. Verify and replay it with: barostep journal verify, barostep journal replay.`));
  } catch (error) {
    panel.append(el("p", {}, error.message));
  }
  return panel;
}
