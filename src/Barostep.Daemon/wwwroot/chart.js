// The live chart: reference, device, target with its band, ceiling.

import { shown, unitOf, fixed } from "./format.js";

const keep = 3600;

export class LiveChart {
  constructor(place, legend) {
    this.place = place;
    this.legend = legend;
    this.range = "whole";
    this.span = 600;
    this.clear();
    new ResizeObserver(() => this.resize()).observe(place);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.build());
  }

  clear() {
    this.rows = [[], [], [], [], [], [], []];
    this.last = 0;
  }

  /** Takes the past as the daemon remembers it. */
  load(trace, display) {
    this.clear();
    const now = Date.now() / 1000;
    trace.age.forEach((age, i) => this.push(display, now - age, trace.reference[i], trace.indication[i], trace.target[i], null, trace.ceiling[i]));
    this.build(display);
  }

  push(display, at, reference, indication, target, band, ceiling) {
    const inUnit = pascals => shown(display, pascals);
    const half = band === null || target === null ? null : band / display.unitPascals;
    const aim = inUnit(target);
    const row = [at, inUnit(reference), inUnit(indication), aim, half === null ? null : aim + half, half === null ? null : aim - half, inUnit(ceiling)];
    row.forEach((value, i) => this.rows[i].push(value));
    if (this.rows[0].length > keep) this.rows.forEach(column => column.shift());
    this.last = at;
  }

  /** Takes the present, twice a second at most. */
  add(view) {
    const now = Date.now() / 1000;
    if (now - this.last < 0.45 || !view.guard) return;
    const run = view.run && !view.run.ended ? view.run : null;
    this.push(view.display, now, view.guard.reference.pascals, run?.indication?.pascals ?? null, run?.targetPascals ?? null,
      run?.bandPascals ?? null, view.guard.ceilingPascals);
    if (!this.plot || this.unit !== unitOf(view.display)) this.build(view.display);
    this.show();
  }

  /** A connection that was lost leaves a gap, not a line across it. */
  gap() {
    if (this.rows[0].length === 0) return;
    this.rows[0].push(Date.now() / 1000);
    this.rows.slice(1).forEach(column => column.push(null));
  }

  show() {
    if (!this.plot) return;
    // A short past fills the chart too, from two minutes on.
    const from = Math.max(this.last - this.span, Math.min(this.rows[0][0] ?? this.last, this.last - 120));
    const begin = this.rows[0].findIndex(at => at >= from);
    this.plot.setData(this.rows.map(column => column.slice(Math.max(0, begin))), false);
    this.plot.setScale("x", { min: from, max: this.last });
    const [low, high] = this.limits(Math.max(0, begin));
    this.plot.setScale("y", { min: low, max: high });
  }

  limits(begin) {
    const target = this.rows[3].at(-1);
    const upper = this.rows[4].at(-1);
    if (this.range === "target" && target !== null && target !== undefined && upper !== null) {
      const half = Math.max((upper - target) * 4, 1e-6);
      return [target - half, target + half];
    }
    const seen = [1, 2, 3].flatMap(i => this.rows[i].slice(begin)).filter(value => value !== null && value !== undefined);
    const ceiling = this.rows[6].at(-1) ?? 1;
    return [Math.min(0, ...seen.slice(-4000)) - ceiling * 0.02, ceiling * 1.06];
  }

  build(display) {
    if (display) {
      this.unit = unitOf(display);
      this.decimals = display.decimals;
    }
    if (!this.unit || typeof uPlot === "undefined") return;
    this.plot?.destroy();
    const css = getComputedStyle(document.documentElement);
    const colour = name => css.getPropertyValue(name).trim();
    const text = colour("--ink");
    const axis = { stroke: text, grid: { stroke: colour("--line"), width: 1 }, ticks: { stroke: colour("--line") }, font: "13px system-ui, sans-serif" };
    this.plot = new uPlot({
      width: this.place.clientWidth || 300, height: this.height(), legend: { show: false },
      cursor: { show: false }, select: { show: false },
      scales: { x: { time: true }, y: { auto: false } },
      axes: [{ ...axis, values: (_, at) => at.map(clock), space: 80, size: 34 }, { ...axis, size: 58, values: (_, at) => at.map(value => fixed(value, at.length > 1 ? places(at[1] - at[0]) : 1)) }],
      bands: [{ series: [4, 5], fill: colour("--band") }],
      series: [{},
        { label: "reference", stroke: colour("--trace"), width: 3 },
        { label: "device", stroke: colour("--device"), width: 2, dash: [2, 4] },
        { label: "target", stroke: colour("--aim"), width: 1.5, dash: [8, 5] },
        { stroke: "transparent" }, { stroke: "transparent" },
        { label: "ceiling", stroke: colour("--danger"), width: 2.5 }],
    }, this.rows, this.place);
    this.legend.replaceChildren(...[["--trace", "reference"], ["--device", "device"], ["--aim", "target and its band"], ["--danger", "ceiling"]]
      .map(([name, words]) => {
        const item = document.createElement("span");
        item.dataset.colour = name.slice(2);
        item.textContent = words;
        return item;
      }), document.createTextNode(`in ${this.unit}`));
    this.show();
  }

  height() {
    return this.place.clientWidth > 600 ? 300 : 220;
  }

  resize() {
    this.plot?.setSize({ width: this.place.clientWidth, height: this.height() });
  }
}

const clock = at => new Date(at * 1000).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit", hour12: false });
const places = step => [0, 1, 2, 3, 4, 5].find(decimals => Math.abs(step * 10 ** decimals - Math.round(step * 10 ** decimals)) < 1e-6) ?? 6;
