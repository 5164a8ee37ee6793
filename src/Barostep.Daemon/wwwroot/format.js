// Numbers, times and words as people at the bench read them.

export const phaseWords = {
  idle: "waiting for the instruments", preloading: "preloading", zeroing: "reading the zero", leakTesting: "testing for leaks",
  pressurising: "pressurising", settling: "settling", reading: "reading", ramping: "ramping to the contact's change", stepping: "stepping", venting: "venting",
  waitingForOperator: "waiting for you", completed: "completed", aborted: "aborted", tripped: "tripped",
};

export const guardWords = {
  boot: "starting, not verified yet", venting: "venting", safe: "depressurised", permitted: "under pressure",
  tripped: "tripped", stopping: "stopping, venting", testing: "testing the dump valve",
};

export const outcomeWords = {
  completed: "completed", incomplete: "incomplete", stopped: "stopped by the operator", aborted: "aborted", tripped: "tripped",
  instrumentFailure: "instrument failure",
};

export const verdictWords = { passed: "pass", failed: "FAIL", notDecided: "not decided" };

export const qualityWords = {
  notFitted: "not fitted", noneYet: "no reading yet", noReply: "no reply", garbled: "reply not understood", overRange: "over range",
  wrongUnit: "wrong unit", lineLost: "line lost",
};

const minus = text => text.replace("-", "−");

/** A figure with a real minus sign, no negative zero. */
export function fixed(value, decimals) {
  if (value === null || value === undefined || !Number.isFinite(value)) return "–";
  const text = value.toFixed(decimals);
  return minus(Number(text) === 0 ? text.replace("-", "") : text);
}

export function signed(value, decimals) {
  const text = fixed(value, decimals);
  return value > 0 && Number(value.toFixed(decimals)) !== 0 ? `+${text}` : text;
}

/** Pa absolute as the display's unit and reference have it. */
export function shown(display, pascals) {
  if (pascals === null || pascals === undefined) return null;
  return (pascals - (display.reference === "gauge" ? display.atmospherePascals : 0)) / display.unitPascals;
}

export const pressure = (display, pascals) => fixed(shown(display, pascals), display.decimals);
export const unitOf = display => `${display.unit} ${display.reference}`;
export const withUnit = (display, pascals) => (pascals === null || pascals === undefined ? "–" : `${pressure(display, pascals)} ${unitOf(display)}`);

/** Pa in the device's own reference. */
export const own = (display, pascals) => (pascals === null || pascals === undefined ? "–" : fixed(pascals / display.unitPascals, display.decimals));

export function age(milliseconds) {
  if (milliseconds === null || milliseconds === undefined) return "";
  if (milliseconds < 1000) return "now";
  const seconds = Math.floor(milliseconds / 1000);
  return seconds < 120 ? `${seconds} s old` : `${Math.floor(seconds / 60)} min old`;
}

export function left(seconds) {
  if (seconds === null || seconds === undefined) return "–";
  return seconds >= 90 ? `about ${Math.ceil(seconds / 60)} min` : `about ${Math.ceil(seconds / 5) * 5} s`;
}

export const percent = (share, decimals = 3) => (share === null || share === undefined ? "–" : signed(share * 100, decimals));

export function moment(text) {
  const when = new Date(text);
  const two = number => String(number).padStart(2, "0");
  return `${when.getUTCFullYear()}-${two(when.getUTCMonth() + 1)}-${two(when.getUTCDate())} ${two(when.getUTCHours())}:${two(when.getUTCMinutes())} UTC`;
}

/** An element with text or children; nothing is ever read as markup. */
export function el(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    element.setAttribute(key, value === true ? "" : value);
  }
  element.append(...children.flat().filter(child => child !== null && child !== undefined));
  return element;
}

export function table(caption, heads, rows) {
  return el("table", {},
    caption ? el("caption", {}, caption) : null,
    el("thead", {}, el("tr", {}, heads.map(head => el("th", { scope: "col", class: head.startsWith(">") ? "number" : null }, head.replace(">", ""))))),
    el("tbody", {}, rows.map(row => el("tr", {}, row.map((cell, i) =>
      el("td", { class: heads[i].startsWith(">") ? "number" : null }, cell))))));
}
