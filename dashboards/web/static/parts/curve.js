// The curve of one charge: voltage, current and temperature over time, with its
// stages shaded and named, and moments marked.

import { el } from "../lib/dom.js";
import { known, volts, amps, celsius } from "../lib/number.js";
import { dateTime, duration } from "../lib/when.js";
import { axis, around, pen, plain, timeAxis } from "../lib/axes.js";
import { drawStages, drawBand, drawMarks, drawNames } from "../lib/backdrop.js";
import { viewer } from "./viewer.js";

// place is where along its line the unit of each stands: far enough from the others'.
const quantities = [
  { key: "volts", name: "Voltage", unit: "V", write: volts, range: around(0.08, 0.02), place: 0.3 },
  { key: "amps", name: "Current", unit: "A", write: amps, range: around(0.08, 0.05, true), place: 0.12 },
  { key: "celsius", name: "Temperature", unit: "\u00b0C", write: celsius, range: around(0.3, 0.5), place: 0.55 },
];

const lineNames = (warm) => quantities.slice(0, warm ? 3 : 2).map((q, k) => ({ column: k + 1, scale: q.key, text: q.unit, colour: q.key, place: q.place }));

// curve makes an empty one. closer is that of a viewer.
export function curve({ height = 300, closer, label }) {
  let times = duration; // writes those of the rows
  const behind = { stages: [], marks: [], band: null };
  const view = viewer({
    label, height, closer,
    options: (uPlot, { warm, dated }, { scaled, say }) => ({
      padding: [26, 8, 0, 4],
      legend: { show: false },
      scales: { x: { time: dated }, ...Object.fromEntries(quantities.map((q) => [q.key, { range: q.range }])) },
      series: [{}, ...quantities.map((q) => ({
        label: q.name, scale: q.key, stroke: pen(q.key), points: { show: false }, width: q.key === "celsius" ? 1.2 : 1.8,
        dash: q.key === "celsius" ? [6, 4] : undefined, show: q.key !== "celsius" || warm,
      }))],
      axes: [
        timeAxis(dated),
        axis({ scale: "volts", stroke: pen("volts"), values: plain, size: 46 }),
        axis({ scale: "amps", stroke: pen("amps"), values: plain, side: 1, size: 42, grid: { show: false } }),
        axis({ scale: "celsius", stroke: pen("celsius"), values: plain, side: 1, size: 36, grid: { show: false }, show: warm }),
      ],
      cursor: { drag: { x: true, y: false, dist: 6 }, y: false, points: { size: 7 } },
      hooks: {
        drawClear: [(u) => { drawStages(u, uPlot.pxRatio, behind.stages); drawBand(u, uPlot.pxRatio, behind.band); }],
        draw: [(u) => { drawMarks(u, uPlot.pxRatio, behind.marks); drawNames(u, uPlot.pxRatio, lineNames(warm)); }],
        setScale: [(u, key) => { if (key === "x") scaled(); }],
        setCursor: [say],
      },
    }),
    legend: (root, data, i) => root.replaceChildren(...quantities.flatMap((q, k) => {
      const column = data[k + 1];
      if (!column.some(known)) return [];
      return [el("span", { class: `key ${q.key}` }, i === null || !known(column[i]) ? `${q.name}, ${q.unit}` : `${q.write(column[i])} ${q.unit}`), " "];
    }), i === null ? "" : el("span", { class: "quiet" }, times(data[0][i]))),
  });
  return {
    ...view,
    // draw shows rows. dated tells whether their times are those of the clock (s since
    // 1970) or counted from a start. Where given there are stages { stage, from, to },
    // marks { at, text, colour } and a band { from, to, value, doubt } of the voltage.
    draw(columns, { dated, stages = [], marks = [], band = null }) {
      times = dated ? (s) => dateTime(s * 1000) : duration;
      Object.assign(behind, { stages, marks, band });
      view.draw(columns, { warm: columns[3].some(known), dated });
    },
  };
}
