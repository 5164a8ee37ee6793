// Small drawings: deviation of a run, drift of a device.

import { fixed } from "./format.js";

const space = "http://www.w3.org/2000/svg";

function node(name, attributes, text) {
  const element = document.createElementNS(space, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text !== undefined) element.textContent = text;
  return element;
}

function frame(words, { x, y, xTicks, yTicks, xTitle, yTitle }) {
  const box = { left: 62, right: 14, top: 12, bottom: 44, width: 560, height: 300 };
  const svg = node("svg", { viewBox: `0 0 ${box.width} ${box.height}`, role: "img", "aria-label": words, class: "plot" });
  const along = value => box.left + (value - x[0]) / (x[1] - x[0]) * (box.width - box.left - box.right);
  const up = value => box.height - box.bottom - (value - y[0]) / (y[1] - y[0]) * (box.height - box.top - box.bottom);
  for (const [value, label] of xTicks) {
    svg.append(node("line", { x1: along(value), x2: along(value), y1: box.top, y2: box.height - box.bottom, class: "grid" }));
    svg.append(node("text", { x: along(value), y: box.height - box.bottom + 17, class: "tick middle" }, label));
  }
  for (const [value, label] of yTicks) {
    svg.append(node("line", { x1: box.left, x2: box.width - box.right, y1: up(value), y2: up(value), class: "grid" }));
    svg.append(node("text", { x: box.left - 6, y: up(value) + 4, class: "tick end" }, label));
  }
  svg.append(node("text", { x: (box.left + box.width - box.right) / 2, y: box.height - 6, class: "title middle" }, xTitle));
  svg.append(node("text", { x: 14, y: (box.top + box.height - box.bottom) / 2, class: "title middle", transform: `rotate(-90 14 ${(box.top + box.height - box.bottom) / 2})` }, yTitle));
  const across = (value, kind) => svg.append(node("line", { x1: box.left, x2: box.width - box.right, y1: up(value), y2: up(value), class: kind }));
  return { svg, along, up, across };
}

function ticks(low, high, count, decimals) {
  return Array.from({ length: count + 1 }, (_, i) => low + (high - low) * i / count).map(value => [value, fixed(value, decimals)]);
}

/** Error in % of span over the nominal in % of span: up-pointing marks ascending, down-pointing descending. */
export function deviation(points, device) {
  const tolerance = device.toleranceOfSpan * 100;
  const known = points.filter(point => point.errorOfSpan !== null);
  const most = Math.max(tolerance * 1.3, ...known.map(point => Math.abs(point.errorOfSpan) * 100 * 1.1));
  const decimals = most < 0.2 ? 3 : most < 2 ? 2 : 1;
  const words = known.length === 0
    ? `No point was read yet; the tolerance is ± ${fixed(tolerance, 3)} % of span.`
    : `${known.length} points; the largest deviation is ${fixed(Math.max(...known.map(point => Math.abs(point.errorOfSpan) * 100)), 3)} % of span, the tolerance ± ${fixed(tolerance, 3)} %.`;
  const { svg, along, up, across } = frame(words, {
    x: [-4, 104], y: [-most, most], xTicks: ticks(0, 100, 5, 0), yTicks: [[-tolerance, `−${fixed(tolerance, decimals)}`], [0, "0"], [tolerance, `+${fixed(tolerance, decimals)}`]],
    xTitle: "nominal, % of span", yTitle: "error, % of span",
  });
  across(tolerance, "limit");
  across(-tolerance, "limit");
  across(0, "zero");
  for (const point of known) {
    const x = along((point.nominalPascals - device.fromPascals) / device.spanPascals * 100);
    const y = up(point.errorOfSpan * 100);
    const kind = point.verdict === "failed" ? "mark failed" : "mark";
    svg.append(point.direction === "ascending"
      ? node("path", { d: `M${x - 7} ${y + 6} h14 l-7 -13 z`, class: kind })
      : node("path", { d: `M${x - 7} ${y - 6} h14 l-7 13 z`, class: `${kind} down` }));
  }
  return svg;
}

/** Errors of one place over the years, with their expanded uncertainty. */
export function drift(series, toleranceOfSpan) {
  const tolerance = toleranceOfSpan * 100;
  const errors = series.errors.map(one => ({ on: Date.parse(one.on), error: one.errorOfSpan * 100, u: (one.expandedUncertaintyOfSpan ?? 0) * 100, text: one.on }));
  const most = Math.max(tolerance * 1.2, ...errors.map(one => (Math.abs(one.error) + one.u) * 1.1));
  const day = 86400000;
  const first = Math.min(...errors.map(one => one.on));
  const last = Math.max(...errors.map(one => one.on));
  const margin = Math.max((last - first) * 0.06, 5 * day);
  const x = [first - margin, last + margin];
  const decimals = most < 0.2 ? 3 : 2;
  const { svg, along, up, across } = frame(
    `${errors.length} calibrations; the last error is ${fixed(errors.at(-1).error, 3)} % of span, the tolerance ± ${fixed(tolerance, 3)} %.`,
    {
      x, y: [-most, most],
      xTicks: ticks(first, last === first ? first + day : last, 3, 0).map(([at]) => [at, new Date(at).toISOString().slice(0, 10)]),
      yTicks: [[-tolerance, `−${fixed(tolerance, decimals)}`], [0, "0"], [tolerance, `+${fixed(tolerance, decimals)}`]],
      xTitle: "day of the calibration", yTitle: "error, % of span",
    });
  across(tolerance, "limit");
  across(-tolerance, "limit");
  across(0, "zero");
  svg.append(node("polyline", { points: errors.map(one => `${along(one.on)},${up(one.error)}`).join(" "), class: "path" }));
  for (const one of errors) {
    svg.append(node("line", { x1: along(one.on), x2: along(one.on), y1: up(one.error - one.u), y2: up(one.error + one.u), class: "bar" }));
    svg.append(node("circle", { cx: along(one.on), cy: up(one.error), r: 5, class: "mark" }));
  }
  return svg;
}
