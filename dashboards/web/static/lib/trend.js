// Draws a quantity over the months: each observation with its own uncertainty, the
// straight line through them, and the fan of lines that the 95 % interval of its
// slope leaves open.

import { place, el } from "./dom.js";
import { fixed, known, within } from "./number.js";
import { date } from "./when.js";
import { address } from "./router.js";

const height = 210, left = 58, right = 12, top = 12, foot = 28;
const year = 365.25 * 86_400_000;
const monthForm = new Intl.DateTimeFormat(undefined, { month: "short", year: "numeric" });

// A name, not an address: nothing is fetched from there.
const svgName = ["http", "//www.w3.org/2000/svg"].join(":");

function svg(tag, attributes, ...children) {
  const e = document.createElementNS(svgName, tag);
  for (const [name, value] of Object.entries(attributes)) e.setAttribute(name, value);
  e.append(...children);
  return e;
}

// chart draws a trend into a box as wide as there is room, anew when that changes.
export function chart(trend) {
  const box = el("div", { class: "trend-chart" });
  place(box, { "min-height": `${height}px` });
  let drawn = 0;
  new ResizeObserver(([entry]) => {
    const width = Math.round(entry.contentRect.width);
    if (width === drawn || width < 120) return;
    drawn = width;
    box.replaceChildren(draw(trend, width));
  }).observe(box);
  return box;
}

function draw(trend, width) {
  const points = trend.points.map((p) => ({ at: Date.parse(p.at), value: p.value, u: p.u95, session: p.session }));
  const fan = fanOf(trend, points);
  const x = scale(points.map((p) => p.at), [left, width - right], 0.03, 30 * 86_400_000);
  const y = scale([
    ...points.flatMap((p) => known(p.u) ? [p.value - p.u, p.value + p.u] : [p.value]), ...fan.flatMap((f) => [f.low, f.high]),
  ], [height - foot, top], 0.08, 0);
  const e = svg("svg", { viewBox: `0 0 ${width} ${height}`, width, height, role: "img", "aria-label": `${trend.name} over time. ${trend.words}` });
  grid(e, x, y, width);
  if (fan.length) {
    const low = [...fan].reverse();
    e.append(
      svg("polygon", { class: "fan", points: [...fan.map((f) => `${x(f.at)},${y(f.high)}`), ...low.map((f) => `${x(f.at)},${y(f.low)}`)].join(" ") }),
      svg("line", { class: "fit", x1: x(fan[0].at), y1: y(trend.first), x2: x(low[0].at), y2: y(trend.last) }));
  }
  for (const p of points) e.append(dot(p, x(p.at), y, trend));
  return e;
}

// fanOf is what the interval of the slope leaves open, turned about the middle.
function fanOf(t, points) {
  if (!t.enough) return [];
  const from = points[0].at, to = points.at(-1).at, middle = (t.first + t.last) / 2, half = (to - from) / year / 2;
  const edge = (slope, side) => middle + side * slope * half;
  return [-1, 0, 1].map((side) => {
    const a = edge(t.per_year_low, side), b = edge(t.per_year_high, side);
    return { at: from + (side + 1) * (to - from) / 2, low: Math.min(a, b), high: Math.max(a, b) };
  });
}

function dot(p, x, y, trend) {
  const said = `${date(p.at)}: ${known(p.u) ? within(p.value, p.u) : fixed(p.value, places(trend))} ${trend.unit}`;
  const g = svg("g", { class: "seen" }, svg("title", {}, said));
  if (known(p.u)) g.append(svg("line", { class: "doubt", x1: x, y1: y(p.value - p.u), x2: x, y2: y(p.value + p.u) }));
  g.append(svg("circle", { cx: x, cy: y(p.value), r: 3.5 }));
  if (p.session) { // the table below has the same as links, for those who do not point
    g.setAttribute("class", "seen to-night");
    g.addEventListener("click", () => { location.hash = address("nights", [p.session]); });
  }
  return g;
}

// places is how many decimals a table of the trend's values needs.
export function places(trend) {
  const size = Math.max(...trend.points.map((p) => Math.abs(p.value)));
  return Math.min(4, Math.max(0, 3 - Math.floor(Math.log10(size || 1))));
}

function scale(values, [from, to], air, least) {
  let low = Math.min(...values), high = Math.max(...values);
  const room = Math.max((high - low) * air, least * air, high === low ? Math.abs(high) * 0.05 || 1 : 0);
  low -= room;
  high += room;
  const of = (v) => Math.round((from + (v - low) / (high - low) * (to - from)) * 10) / 10;
  return Object.assign(of, { low, high });
}

function grid(e, x, y, width) {
  const step = round((y.high - y.low) / 4), decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  for (let v = Math.ceil(y.low / step) * step; v <= y.high; v += step) {
    e.append(svg("line", { class: "grid", x1: left, y1: y(v), x2: width - right, y2: y(v) }),
      svg("text", { class: "scale-word", x: left - 8, y: y(v) + 4, "text-anchor": "end" }, fixed(v, decimals)));
  }
  for (const at of months(x.low, x.high, Math.max(2, Math.floor((width - left) / 84)))) {
    e.append(svg("line", { class: "grid", x1: x(at), y1: top, x2: x(at), y2: height - foot }),
      svg("text", { class: "scale-word", x: Math.min(x(at), width - 34), y: height - 8, "text-anchor": "middle" }, monthForm.format(at)));
  }
}

// round is the nearest round step upwards.
function round(x) {
  const ten = 10 ** Math.floor(Math.log10(x));
  return [1, 2, 5, 10].find((m) => m * ten >= x * 0.999) * ten;
}

// months are firsts of months, no more than so many.
function months(low, high, most) {
  const all = (high - low) / year * 12;
  const step = [1, 2, 3, 6, 12, 24, 60].find((s) => all / s <= most) ?? 120;
  const first = new Date(low), list = [];
  for (let m = Math.ceil((first.getFullYear() * 12 + first.getMonth()) / step) * step; ; m += step) {
    const at = new Date(Math.floor(m / 12), m % 12, 1).getTime();
    if (at > high) return list;
    if (at >= low) list.push(at);
  }
}
