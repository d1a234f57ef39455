// The frame of a curve over time: somebody looks into it by mouse, by buttons or by
// keys. What is drawn in it is the business of who makes it.

import { el, clear, put } from "../lib/dom.js";
import { plotLibrary } from "../lib/plot.js";
import { onTheme } from "../lib/theme.js";

const nearlyAll = 0.995; // of the curve; what shows that much shows the whole
const shortest = 10; // s; nobody looks into less
const still = 180; // ms of stillness after which a closer look is fetched
const taps = 350; // ms within which a second tap asks for the whole

// viewer makes an empty one.
//   label   what it shows, for those who do not see it
//   height  px
//   options(uPlot, shape, hooks)  those of the plotting library
//   legend(root, data, index)     says the values at a place, or none where it is null
//   closer(from, to)              is told, where given, of a stretch that is looked into
export function viewer({ label, height, options, legend, closer }) {
  const words = el("p", { class: "legend" }), canvas = el("div", { class: "canvas" });
  const press = (text, name, act) => el("button", { type: "button", class: "small", "aria-label": name, title: name, onclick: act }, text);
  const tools = el("div", { class: "tools screen-only" },
    press("+", "Look closer", () => scale(0.5)), press("\u2212", "See more around", () => scale(2)),
    press("\u2190", "Earlier", () => shift(-0.4)), press("\u2192", "Later", () => shift(0.4)), press("All", "All of the curve", () => whole()));
  const root = el("figure", { class: "curve", role: "group", "aria-label": label, tabindex: 0, onkeydown: keys },
    el("div", { class: "over" }, words, tools), canvas);
  let plot = null, data = null, shape = null, seen = null, timer = 0, closed = false, tapped = 0;

  function keys(e) {
    if (e.ctrlKey || e.metaKey || e.altKey || e.target !== root) return;
    const act = {
      "+": () => scale(0.5), "=": () => scale(0.5), "-": () => scale(2), ArrowLeft: () => shift(-0.4), ArrowRight: () => shift(0.4), Home: whole, 0: whole,
    }[e.key];
    if (!act) return;
    e.preventDefault();
    act();
  }

  const ends = () => [data[0][0], data[0].at(-1)];
  const view = () => [plot.scales.x.min, plot.scales.x.max];

  // look shows a stretch, within what there is.
  function look(from, to) {
    if (!plot) return;
    const [first, last] = ends();
    const length = Math.min(Math.max(to - from, shortest), last - first);
    const begin = Math.min(Math.max(from, first), last - length);
    plot.setScale("x", { min: begin, max: begin + length });
  }
  function scale(by) {
    if (!plot) return;
    const [a, b] = view(), half = (b - a) * by / 2, middle = (a + b) / 2;
    look(middle - half, middle + half);
  }
  function shift(by) {
    if (!plot) return;
    const [a, b] = view(), step = (b - a) * by;
    look(a + step, b + step);
  }
  function whole() { if (plot) look(...ends()); }

  function scaled() {
    const [a, b] = view(), [first, last] = ends();
    const close = b - a < nearlyAll * (last - first);
    root.toggleAttribute("data-close", close);
    seen = close ? [a, b] : null;
    root.dataset.from = a; // what is shown, for who cares
    root.dataset.to = b;
    clearTimeout(timer);
    if (close && closer) timer = setTimeout(() => closer(a, b), still);
  }
  const say = () => legend(words, data, plot?.cursor.idx ?? null);

  async function build() {
    const uPlot = await plotLibrary();
    if (closed || plot || !data) return;
    const made = options(uPlot, shape, { scaled, say });
    plot = new uPlot({ ...made, height, width: canvas.clientWidth || 600 }, data, canvas);
    // A double tap shows the whole again, as a double click does.
    plot.over.addEventListener("touchend", (e) => {
      if (e.timeStamp - tapped < taps) whole();
      tapped = e.timeStamp;
    });
    say();
  }
  const sizes = new ResizeObserver(() => plot && canvas.clientWidth && plot.setSize({ width: canvas.clientWidth, height }));
  sizes.observe(canvas);
  const offTheme = onTheme(() => plot?.redraw());

  return {
    root,
    // draw shows columns of numbers, the first being the time in s. What somebody
    // looks into stays in view. A new shape, which tells the series, begins anew.
    draw(columns, wanted) {
      data = columns;
      root.dataset.rows = columns[0].length; // for who cares, as from and to are
      if (plot && JSON.stringify(wanted) !== JSON.stringify(shape)) {
        plot.destroy();
        plot = null;
        clear(canvas);
      }
      shape = wanted;
      if (!plot) {
        build().catch((e) => put(words, `${e.message}.`));
        return;
      }
      plot.batch(() => {
        plot.setData(columns, !seen);
        if (seen) plot.setScale("x", { min: seen[0], max: seen[1] });
      });
      if (plot.cursor.idx == null) say();
    },
    look,
    close() {
      closed = true;
      clearTimeout(timer);
      sizes.disconnect();
      offTheme();
      plot?.destroy();
    },
  };
}
