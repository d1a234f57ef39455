// A curve over time, with the stages of the charge shaded and named, to look into
// by mouse, by buttons or by keys.

import { el, clear, put } from "../lib/dom.js";
import { plotLibrary } from "../lib/plot.js";
import { onTheme, colour } from "../lib/theme.js";
import { fixed, known, volts, amps, celsius } from "../lib/number.js";
import { clock, dateTime, duration } from "../lib/when.js";
import { stages as names } from "../lib/words.js";

const quantities = [
  { key: "volts", name: "Voltage", unit: "V", write: volts, pad: 0.08 },
  { key: "amps", name: "Current", unit: "A", write: amps, pad: 0.08, zero: true },
  { key: "celsius", name: "Temperature", unit: "\u00b0C", write: celsius, pad: 0.3 },
];

const shortest = 10; // s; nobody looks into less
const settled = 180; // ms of stillness after which a closer look is fetched

// curve makes an empty one. dated tells whether times are those of the clock (s since
// 1970) or counted from a start; closer(from, to), if given, is called for a stretch
// that somebody looks into.
export function curve({ dated = true, height = 300, closer, label = "Curve of voltage and current" } = {}) {
  const legend = el("p", { class: "legend" }), canvas = el("div", { class: "canvas" });
  const press = (text, name, act) => el("button", { type: "button", class: "small", "aria-label": name, title: name, onclick: act }, text);
  const tools = el("div", { class: "tools screen-only" },
    press("+", "Look closer", () => scale(0.5)), press("\u2212", "See more around", () => scale(2)),
    press("\u2190", "Earlier", () => shift(-0.4)), press("\u2192", "Later", () => shift(0.4)), press("All", "Whole curve", () => whole()));
  const root = el("figure", { class: "curve", role: "group", "aria-label": label, tabindex: 0, onkeydown: keys }, el("div", { class: "over" }, legend, tools), canvas);
  const state = { plot: null, data: [[0], [null], [null], [null]], shades: [], marks: [], band: null, seen: null, timer: 0, closed: false };

  function keys(e) {
    if (e.ctrlKey || e.metaKey || e.altKey || e.target !== root) return;
    const act = { "+": () => scale(0.5), "=": () => scale(0.5), "-": () => scale(2), ArrowLeft: () => shift(-0.4), ArrowRight: () => shift(0.4), Home: () => whole(), 0: () => whole() }[e.key];
    if (!act) return;
    e.preventDefault();
    act();
  }

  const ends = () => [state.data[0][0], state.data[0].at(-1)];
  const view = () => [state.plot.scales.x.min, state.plot.scales.x.max];

  // look shows a stretch, within what there is.
  function look(from, to) {
    if (!state.plot) return;
    const [first, last] = ends();
    const length = Math.min(Math.max(to - from, shortest), last - first);
    const begin = Math.min(Math.max(from, first), last - length);
    state.plot.setScale("x", { min: begin, max: begin + length });
  }
  function scale(by) {
    const [a, b] = view(), half = (b - a) * by / 2, middle = (a + b) / 2;
    look(middle - half, middle + half);
  }
  function shift(by) {
    const [a, b] = view(), step = (b - a) * by;
    look(a + step, b + step);
  }
  function whole() { look(...ends()); }

  function scaled() {
    const [a, b] = view(), [first, last] = ends();
    const close = b - a < 0.995 * (last - first);
    root.toggleAttribute("data-close", close);
    state.seen = close ? [a, b] : null;
    clearTimeout(state.timer);
    if (close && closer) state.timer = setTimeout(() => closer(a, b), settled);
  }

  // say writes the values at the cursor, or the newest ones.
  function say() {
    const u = state.plot, i = u?.cursor.idx;
    const at = i == null ? null : state.data[0][i];
    legend.replaceChildren(...quantities.flatMap((q, k) => {
      const column = state.data[k + 1];
      if (!column.some(known)) return [];
      const value = i == null ? null : column[i];
      return [el("span", { class: `key ${q.key}` }, at === null || !known(value) ? `${q.name}, ${q.unit}` : `${q.write(value)} ${q.unit}`), " "];
    }), at === null ? "" : el("span", { class: "quiet" }, dated ? dateTime(at * 1000) : duration(at)));
  }

  async function build() {
    const uPlot = await plotLibrary();
    if (state.closed || state.plot) return;
    state.plot = new uPlot(options(uPlot, state, { dated, height, width: canvas.clientWidth || 600, scaled, say }), state.data, canvas);
    say();
  }
  build().catch((e) => put(legend, `${e.message}.`));
  const sizes = new ResizeObserver(() => state.plot && canvas.clientWidth && state.plot.setSize({ width: canvas.clientWidth, height }));
  sizes.observe(canvas);
  const offTheme = onTheme(() => state.plot?.redraw());

  return {
    root,
    // draw shows rows with the stages behind them. What somebody looks into stays
    // in view.
    draw(columns, { shades = [], marks = [], band = null } = {}) {
      const celsiusBefore = state.data[3]?.some(known);
      Object.assign(state, { data: columns, shades, marks, band });
      if (!state.plot) return;
      if (celsiusBefore !== columns[3].some(known)) { // an axis comes or goes
        state.plot.destroy();
        state.plot = null;
        clear(canvas);
        build();
        return;
      }
      const seen = state.seen;
      state.plot.batch(() => {
        state.plot.setData(columns, !seen);
        if (seen) state.plot.setScale("x", { min: seen[0], max: seen[1] });
      });
      if (state.plot.cursor.idx == null) say();
    },
    look,
    seen: () => state.seen,
    close() {
      state.closed = true;
      clearTimeout(state.timer);
      sizes.disconnect();
      offTheme();
      state.plot?.destroy();
    },
  };
}

// options are those of the plotting library.
function options(uPlot, state, { dated, height, width, scaled, say }) {
  const warm = state.data[3]?.some(known);
  const pen = (name) => () => colour(name);
  const axis = (more) => ({ stroke: pen("soft"), font: "12px system-ui, sans-serif", grid: { stroke: pen("line"), width: 1 }, ticks: { show: false }, ...more });
  const plain = (u, splits) => {
    const step = Math.abs((splits[1] ?? 1) - splits[0]);
    return splits.map((v) => fixed(v, Math.min(3, Math.max(0, Math.ceil(-Math.log10(step) - 1e-9)))));
  };
  const range = (q) => (u, low, high) => {
    if (!known(low) || !known(high)) return [0, 1];
    const pad = Math.max((high - low) * q.pad, q.key === "amps" ? 0.05 : 0.02);
    return [q.zero ? Math.min(low - (low < -0.02 ? pad : 0), 0) : low - pad, high + pad];
  };
  const time = (u, splits) => splits.map((s) => dated ? clock(s * 1000, s * 1000) : elapsed(s));
  return {
    width, height,
    padding: [14, 8, 0, 4],
    legend: { show: false },
    scales: { x: { time: dated }, ...Object.fromEntries(quantities.map((q) => [q.key, { range: range(q) }])) },
    series: [{}, ...quantities.map((q) => ({
      label: q.name, scale: q.key, stroke: pen(q.key), width: q.key === "celsius" ? 1.2 : 1.8, dash: q.key === "celsius" ? [6, 4] : undefined,
      points: { show: false }, show: q.key !== "celsius" || warm,
    }))],
    axes: [
      axis({ values: time, space: 64, incrs: dated ? undefined : counted }),
      axis({ scale: "volts", stroke: pen("volts"), values: plain, size: 46 }),
      axis({ scale: "amps", stroke: pen("amps"), values: plain, side: 1, size: 42, grid: { show: false } }),
      axis({ scale: "celsius", stroke: pen("celsius"), values: plain, side: 1, size: 36, grid: { show: false }, show: warm }),
    ],
    cursor: { drag: { x: true, y: false, dist: 6 }, y: false, points: { size: 7 } },
    hooks: {
      drawClear: [(u) => drawBehind(uPlot, u, state)],
      draw: [(u) => drawMarks(uPlot, u, state)],
      setScale: [(u, key) => { if (key === "x") scaled(); }],
      setCursor: [say],
    },
  };
}

// counted are steps of a time that is counted from a start, s.
const counted = [1, 5, 10, 30, 60, 300, 600, 1800, 3600, 7200, 14400, 28800, 86400];

const elapsed = (s) => `${Math.floor(s / 3600)}:${String(Math.floor(s / 60) % 60).padStart(2, "0")}`;

// drawBehind paints the stages, with their names where they fit.
function drawBehind(uPlot, u, { shades, band }) {
  const { ctx, bbox } = u, r = uPlot.pxRatio;
  const x = (s) => Math.min(Math.max(u.valToPos(s, "x", true), bbox.left), bbox.left + bbox.width);
  ctx.save();
  ctx.font = `600 ${11 * r}px system-ui, sans-serif`;
  ctx.textBaseline = "top";
  for (const g of shades) {
    const left = x(g.from), wide = x(g.to) - left;
    if (!(wide > 0)) continue;
    ctx.fillStyle = colour(`${g.stage}-pale`);
    ctx.fillRect(left, bbox.top, wide, bbox.height);
    ctx.fillStyle = colour(g.stage);
    ctx.fillRect(left, bbox.top - 5 * r, Math.max(wide - r, r), 4 * r);
    const name = names[g.stage];
    if (ctx.measureText(name).width + 12 * r > wide) continue;
    ctx.fillStyle = colour("soft");
    ctx.fillText(name, left + 6 * r, bbox.top + 5 * r);
  }
  if (band) { // where the voltage settles, with its interval
    const y = (v) => u.valToPos(v, "volts", true), left = x(band.from), right = x(band.to);
    ctx.beginPath();
    ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
    ctx.clip();
    ctx.globalAlpha = 0.18;
    ctx.fillStyle = colour("volts");
    ctx.fillRect(left, y(band.value + band.doubt), right - left, y(band.value - band.doubt) - y(band.value + band.doubt));
    ctx.globalAlpha = 1;
    ctx.strokeStyle = colour("volts");
    ctx.setLineDash([6 * r, 5 * r]);
    ctx.beginPath();
    ctx.moveTo(left, y(band.value));
    ctx.lineTo(right, y(band.value));
    ctx.stroke();
  }
  ctx.restore();
}

// drawMarks draws what happened at a moment: a line with a word at the foot.
function drawMarks(uPlot, u, { marks }) {
  const { ctx, bbox } = u, r = uPlot.pxRatio;
  let free = -Infinity;
  ctx.save();
  ctx.font = `${11 * r}px system-ui, sans-serif`;
  ctx.textBaseline = "bottom";
  for (const m of marks) {
    const x = u.valToPos(m.at, "x", true);
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    ctx.strokeStyle = ctx.fillStyle = colour(m.colour ?? "ink");
    ctx.setLineDash(m.dash ?? [4 * r, 4 * r]);
    ctx.lineWidth = r;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    const wide = ctx.measureText(m.text).width;
    const left = Math.min(x + 5 * r, bbox.left + bbox.width - wide - 2 * r);
    if (left < free) continue;
    free = left + wide + 8 * r;
    ctx.fillText(m.text, left, bbox.top + bbox.height - 5 * r);
  }
  ctx.restore();
}
