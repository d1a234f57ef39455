// Nights laid over each other, all beginning with their charge.

import { el, clear, put } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { address, title } from "../lib/router.js";
import { fromSamples, broken, replaced } from "../lib/columns.js";
import { gapsOf } from "../lib/annotated.js";
import { plotLibrary } from "../lib/plot.js";
import { axis, around, elapsed, pen, plain, timeAxis } from "../lib/axes.js";
import { digits, within, volts, amps, known, nothing } from "../lib/number.js";
import { table } from "../lib/table.js";
import { duration } from "../lib/when.js";
import { viewer } from "./viewer.js";
import { nightName, outcomeMark } from "./nightrow.js";
import { surest } from "./nightparts.js";
import { mostOver } from "./nightlist.js";

const points = 2000; // of each curve
const before = 0.04, behind = 0.3; // of a charge's length: how much around it is shown
// Each night has a colour and a way its line is broken, so that it is found without
// the colour, too.
const dashes = [undefined, [10, 4], [3, 3], [12, 3, 3, 3], [6, 6], [2, 5]];

export function openOverlay(root, ids) {
  const chosen = ids.slice(0, mostOver), waiting = el("p", { class: "quiet" }, "Fetching these nights.");
  root.append(el("p", { class: "screen-only" }, el("a", { href: address("nights") }, "\u2190 All nights")), el("h1", {}, "Nights laid over each other"), waiting);
  title("Nights compared");
  const page = { closed: false, views: [] };
  Promise.all([plotLibrary(), ...chosen.map(fetchNight)]).then(([uPlot, ...nights]) => {
    if (page.closed) return;
    waiting.remove();
    build(root, page, uPlot, nights);
  }).catch((e) => put(waiting, `These nights cannot be shown: ${e.message}`));
  return {
    close() {
      page.closed = true;
      page.views.forEach((v) => v.close());
    },
  };
}

// fetchNight fetches a night, its times counted from the start of its charge.
async function fetchNight(id) {
  const session = await get(path`sessions/${id}`), shift = -session.start_s;
  const length = session.end_s - session.start_s; // what one did long before and after would press the charges together
  const stretch = { from: session.start_s - before * length, to: session.end_s + behind * length };
  const told = await get(path`sessions/${id}/samples`, { points, ...stretch }).catch(() => null); // its lines may be gone; the numbers are not
  return { id, session, shift, rows: told && broken(fromSamples(told, shift), gapsOf(session, shift)) };
}

function build(root, page, uPlot, nights) {
  const key = el("ul", { class: "nights-key" }, nights.map((n, i) => el("li", {},
    line(i), " ", el("a", { href: address("nights", [n.id]) }, nightName(n.session)), el("span", { class: "quiet" }, ` ${n.session.battery || n.session.channel} `),
    nights.length > 2 && el("a", { href: address("nights", nights.filter((o) => o !== n).map((o) => o.id)), "aria-label": `Take ${nightName(n.session)} away` }, "take away"))));
  const drawn = nights.map((n) => n.rows).map((rows) => rows ?? [[], [], [], []]);
  const parts = [["volts", "Voltage, V", 1, around(0.06, 0.02)], ["amps", "Current, A", 2, around(0.06, 0.05, true)]].map(([scale, name, column, range]) => {
    const view = viewer({
      label: `${name.split(",")[0]} of these nights`, height: 280, closer,
      options: (_, __, { scaled, say }) => options(nights, { scale, range, scaled, say }),
      legend: (where, data, i) => legend(where, name, nights, data, i, column === 1 ? volts : amps),
    });
    return { view, column };
  });
  page.views = parts.map((p) => p.view);
  root.append(el("div", { class: "stack" }, el("div", { class: "card" }, key),
    el("section", { class: "card stack", "aria-label": "Curves" }, parts.map((p) => p.view.root)), comparison(nights)));

  function draw() {
    for (const { view, column } of parts) {
      view.draw(uPlot.join(drawn.map((c) => [c[0], c[column]]), drawn.map(() => [2, 2])), { nights: nights.length });
    }
  }
  let looked = 0;
  async function closer(from, to) {
    const turn = ++looked;
    for (const p of parts) p.view.look(from, to); // both show the same stretch
    await Promise.all(nights.map(async (n, i) => {
      if (!n.rows) return;
      const told = await get(path`sessions/${n.id}/samples`, { points, from: from - n.shift, to: to - n.shift }).catch(() => null);
      if (told && turn === looked) drawn[i] = replaced(n.rows, fromSamples(told, n.shift));
    }));
    if (turn === looked && !page.closed) draw();
  }
  draw();
}

function options(nights, { scale, range, scaled, say }) {
  return {
    padding: [10, 10, 0, 4],
    legend: { show: false },
    scales: { x: { time: false }, [scale]: { range } },
    series: [{}, ...nights.map((n, i) => ({ label: nightName(n.session), scale, stroke: pen(`night-${i + 1}`), width: 1.8, dash: dashes[i], points: { show: false }, spanGaps: false }))],
    axes: [timeAxis(false), axis({ scale, values: plain, size: 48 })],
    cursor: { drag: { x: true, y: false, dist: 6 }, y: false, sync: { key: "nights" }, points: { size: 6 } },
    hooks: { setScale: [(u, key) => { if (key === "x") scaled(); }], setCursor: [say] },
  };
}

function legend(root, name, nights, data, i, write) {
  const at = i === null ? "" : el("span", { class: "quiet" }, `${elapsed(data[0][i])} h after the start`);
  clear(root).append(el("strong", {}, name), " ", ...(i === null ? [el("span", { class: "quiet" }, "by hours since the start of the charge")] : nights.flatMap((n, k) => {
    const v = nearest(data[k + 1], i);
    return known(v) ? [line(k), ` ${write(v)}  `] : [];
  })), at);
}

const reach = 40; // rows: where a night has none within these it has a gap, or is over

// nearest is a night's value at a row that may be another night's.
function nearest(column, i) {
  for (let d = 0; d < reach; d++) {
    if (known(column[i - d])) return column[i - d];
    if (known(column[i + d])) return column[i + d];
  }
  return null;
}

const line = (i) => el("span", { class: "line", "data-night": i + 1, "aria-hidden": "true" });

// comparison sets the numbers of the nights side by side.
function comparison(nights) {
  const rows = [
    ["Outcome", outcomeMark],
    ["Battery", (s) => s.battery || nothing],
    ["Went in, Ah", (s) => within(s.charge_in_ah, s.charge_in_ah_u95)],
    ["Took", (s) => duration((s.finish_s ?? s.end_s) - s.start_s)],
    ["Energy in, Wh", (s) => digits(s.energy_in_wh)],
    ["Set current, A", (s) => amps(s.set_a)],
    ["Held at, V", (s) => volts(s.held_v)],
    ["Current at the end, A", (s) => s.outcome === "running" ? nothing : amps(s.tail_a)],
    ["Settles at, V", (s) => within(s.rest?.settled_v, s.rest?.settled_v_u95)],
    ["Resistance, m\u03a9", ({ resistance }) => {
      const best = surest(resistance);
      return best ? within(1000 * best.ohm, 1000 * best.ohm_u95) : nothing;
    }],
  ];
  const names = [el("td"), ...nights.map((n, i) => el("th", { scope: "col" }, line(i), " ", nightName(n.session)))];
  return el("section", { class: "card stack" }, el("h2", {}, "Side by side"),
    table("Side by side", names, rows.map(([name, of]) => el("tr", {}, el("th", { scope: "row" }, name), nights.map((n) => el("td", {}, of(n.session))))), "compared"));
}
