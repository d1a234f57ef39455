// Axes of a curve in the look of the page.

import { colour } from "./theme.js";
import { fixed, known } from "./number.js";
import { clock } from "./when.js";

export const pen = (name) => () => colour(name);

// axis is one in the page's colours.
export const axis = (more) => ({ stroke: pen("soft"), font: "12px system-ui, sans-serif", grid: { stroke: pen("line"), width: 1 }, ticks: { show: false }, ...more });

// plain writes the numbers of an axis with as many decimals as their steps need.
export function plain(u, splits) {
  const step = Math.abs((splits[1] ?? 1) - splits[0]);
  const places = [0, 1, 2].find((n) => Math.abs(step * 10 ** n - Math.round(step * 10 ** n)) < 1e-6) ?? 3;
  return splits.map((v) => fixed(v, places));
}

// timeAxis shows the clock, or hours and minutes since a start.
export const timeAxis = (dated) => axis({
  size: 30, space: 68, incrs: dated ? undefined : counted, values: (u, splits) => splits.map((s) => dated ? clock(s * 1000, s * 1000) : elapsed(s)),
});

// counted are steps of a time that is counted from a start, s.
const counted = [1, 5, 10, 30, 60, 300, 600, 1800, 3600, 7200, 14400, 28800, 86400];

export function elapsed(s) {
  const minutes = Math.round(Math.abs(s) / 60);
  return `${s < 0 && minutes ? "\u2212" : ""}${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
}

// around is a range a little wider than the values; zero stays in it where asked for.
export const around = (share, least, zero) => (u, low, high) => {
  if (!known(low) || !known(high)) return [0, 1];
  const pad = Math.max((high - low) * share, least);
  if (zero) return [low < -0.02 ? low - pad : 0, high + pad];
  return [low - pad, high + pad];
};
