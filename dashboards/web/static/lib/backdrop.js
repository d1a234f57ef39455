// What stands behind and over the lines of a curve, drawn on its canvas; r is how
// many of its dots make a pixel.

import { firstAfter } from "./columns.js";
import { known } from "./number.js";
import { colour } from "./theme.js";
import { stages as names } from "./words.js";

// drawStages shades the stages, with their names where they fit.
export function drawStages({ ctx, bbox, valToPos }, r, stages) {
  const x = (s) => Math.min(Math.max(valToPos(s, "x", true), bbox.left), bbox.left + bbox.width);
  ctx.save();
  ctx.font = `600 ${11 * r}px system-ui, sans-serif`;
  ctx.textBaseline = "bottom";
  for (const g of stages) {
    const left = x(g.from), wide = x(g.to) - left;
    if (!(wide > 0)) continue;
    ctx.fillStyle = colour(`${g.stage}-pale`);
    ctx.fillRect(left, bbox.top, wide, bbox.height);
    ctx.fillStyle = colour(g.stage);
    ctx.fillRect(left, bbox.top - 6 * r, Math.max(wide - r, r), 4 * r);
    if (ctx.measureText(names[g.stage]).width + 4 * r > wide) continue;
    ctx.fillStyle = colour("soft");
    ctx.fillText(names[g.stage], left, bbox.top - 8 * r);
  }
  ctx.restore();
}

// drawBand draws a voltage with its interval: where it settles.
export function drawBand({ ctx, bbox, valToPos }, r, band) {
  if (!band) return;
  const y = (v) => valToPos(v, "volts", true), left = valToPos(band.from, "x", true), right = valToPos(band.to, "x", true);
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.globalAlpha = 0.18;
  ctx.fillStyle = ctx.strokeStyle = colour("volts");
  ctx.fillRect(left, y(band.value + band.doubt), right - left, y(band.value - band.doubt) - y(band.value + band.doubt));
  ctx.globalAlpha = 1;
  ctx.lineWidth = 1.5 * r;
  ctx.setLineDash([6 * r, 5 * r]);
  ctx.beginPath();
  ctx.moveTo(left, y(band.value));
  ctx.lineTo(right, y(band.value));
  ctx.stroke();
  ctx.restore();
}

// drawNames writes beside each line what it is, for those who cannot tell the colours:
// names are { column, scale, text, colour, place }, place being the share of what is
// shown at which it stands.
export function drawNames(u, r, names) {
  const { ctx, bbox, data, scales } = u;
  ctx.save();
  ctx.font = `700 ${12 * r}px system-ui, sans-serif`;
  ctx.textAlign = "center";
  ctx.textBaseline = "bottom";
  for (const n of names) {
    const i = firstAfter(data[0], scales.x.min + n.place * (scales.x.max - scales.x.min)), value = data[n.column][i];
    if (!known(value)) continue;
    const x = u.valToPos(data[0][i], "x", true), y = Math.max(u.valToPos(value, n.scale, true) - 4 * r, bbox.top + 15 * r);
    if (x > bbox.left + bbox.width) continue;
    ctx.fillStyle = colour(n.colour);
    write(ctx, r, n.text, x, y);
  }
  ctx.restore();
}

// drawMarks draws what happened at a moment: a line with a word at its foot, but
// never one word over another.
export function drawMarks({ ctx, bbox, valToPos }, r, marks) {
  let free = -Infinity;
  ctx.save();
  ctx.font = `${11 * r}px system-ui, sans-serif`;
  ctx.textBaseline = "bottom";
  ctx.lineWidth = r;
  for (const m of marks) {
    const x = valToPos(m.at, "x", true);
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    ctx.strokeStyle = ctx.fillStyle = colour(m.colour ?? "ink");
    ctx.setLineDash(m.solid ? [] : [4 * r, 4 * r]);
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    const wide = ctx.measureText(m.text).width;
    const left = Math.min(x + 5 * r, bbox.left + bbox.width - wide - 2 * r);
    if (left < free) continue;
    free = left + wide + 8 * r;
    write(ctx, r, m.text, left, bbox.top + bbox.height - 5 * r);
  }
  ctx.restore();
}

// write writes a word that can be read where a line crosses it.
function write(ctx, r, text, x, y) {
  ctx.save();
  ctx.setLineDash([]);
  ctx.lineJoin = "round";
  ctx.lineWidth = 4 * r;
  ctx.strokeStyle = colour("paper");
  ctx.strokeText(text, x, y);
  ctx.fillText(text, x, y);
  ctx.restore();
}
