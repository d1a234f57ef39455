// One channel as it is now: a sentence, what was found, the ribbon of the night, the
// numbers, the curve, and how its source is.

import { el, clear, put, show, changed } from "../lib/dom.js";
import { link } from "../lib/store.js";
import { get, path } from "../lib/api.js";
import { meaning } from "../lib/meanings.js";
import { known } from "../lib/number.js";
import { stages, outcomes } from "../lib/words.js";
import { moment, clock } from "../lib/when.js";
import { fromSamples, broken, added, thinned } from "../lib/columns.js";
import { address } from "../lib/router.js";
import { curve } from "./curve.js";
import { standing, ofChannel } from "./sentence.js";
import { ribbon } from "./ribbon.js";
import { figures, facts, pairs } from "./figures.js";
import { health } from "./health.js";
import { holding, list } from "./findings.js";

const mostRows = 6000; // of a curve that grows
const anew = 300_000; // ms after which the whole curve is fetched again: it holds what was revised

// channelPanel makes the panel of a channel, which is a store's entry.
export function channelPanel(entry) {
  const name = entry.state.name;
  const battery = el("span", { class: "quiet" }), word = el("p", { class: "mark" });
  const sentence = el("p", { class: "lead sentence" });
  const found = el("ul", { class: "findings", "aria-label": "What amphora noticed" });
  const why = el("p", { class: "why quiet" }), more = el("dl", { class: "pairs" });
  const full = el("a", { class: "screen-only" }, "This night in full");
  const parts = { ribbon: ribbon(), figures: figures(), health: health(), curve: curve({ height: 260, label: `Curve of ${name}` }) };
  const heading = el("h2", {}, name);
  const root = el("article", { class: "channel card", "aria-label": `Channel ${name}` },
    el("header", { class: "row" }, heading, battery, el("span", { class: "wide" }), word),
    sentence, found, parts.ribbon.root, why, parts.figures.root, parts.curve.root, more, full, parts.health.root);
  const self = { root, entry, parts, rows: null, session: null, fetched: 0 };

  const drawFindings = changed((findings, session) => {
    clear(found).append(...list(session));
    show(found, findings.length > 0);
  });
  const drawFacts = changed((all) => { clear(more).append(...pairs(all)); show(more, all.length > 0); });

  self.draw = () => {
    const channel = self.entry.state, s = channel.session;
    const since = (performance.now() - self.entry.at) / 1000;
    const how = standing(channel, since, link.state !== "lost");
    const now = how.last ? how.last.at_s + how.age : NaN;
    const said = ofChannel(channel, how, link.state !== "lost", meaning);
    put(battery, channel.battery ?? "");
    word.dataset.kind = said.kind;
    put(word, how.stale ? (how.last ? "No reading" : "Waiting") : worst(s) ?? stages[channel.stage] ?? outcomes[s?.outcome] ?? "Waiting");
    put(sentence, said.text);
    root.dataset.kind = said.kind;
    root.toggleAttribute("data-stale", how.stale);
    drawFindings(s?.findings ?? [], s);
    parts.ribbon.draw(s, now);
    put(why, channel.stage_why ? `Why: ${channel.stage_why}.` : "");
    show(why, Boolean(channel.stage_why));
    parts.figures.draw(how.last, s, how.stale);
    drawFacts(facts(s, now));
    show(full, Boolean(s));
    if (s) full.href = address("nights", [s.id]);
    parts.health.draw(channel, since);
  };
  self.update = (next) => {
    self.entry = next;
    self.draw();
    drawCurve(self);
  };
  self.forget = () => { self.fetched = 0; }; // the daemon may know more since it came back
  self.close = () => parts.curve.close();
  self.update(entry);
  return self;
}

const worst = (s) => {
  const kinds = holding(s).map((f) => f.severity);
  return kinds.includes("alarm") ? "Alarm" : kinds.includes("warning") ? "Warning" : null;
};

// shiftOf leads the times of a log to those of the curve: to the clock where there
// is a date.
function shiftOf(session, reading) {
  if (session?.started) return moment(session, 0) / 1000;
  return reading ? Date.parse(reading.at) / 1000 - reading.at_s : 0;
}

// drawCurve adds the newest reading, and fetches what was before when it must.
async function drawCurve(self) {
  const { state } = self.entry, s = state.session, last = state.last_reading;
  const shift = shiftOf(s, last);
  if (s?.id !== self.session || performance.now() - self.fetched > anew || self.fetched === 0) {
    self.session = s?.id;
    self.fetched = performance.now();
    self.rows = self.rows && !s ? self.rows : [[], [], [], []];
    if (s) {
      const told = await get(path`sessions/${s.id}/samples`, { points: 1500 }).catch(() => null);
      if (told) self.rows = broken(fromSamples(told, shift), s.gaps.map((g) => [g.start_s + shift, g.end_s + shift]));
    }
  }
  if (last && known(last.at_s)) self.rows = thinned(added(self.rows ?? [[], [], [], []], [last.at_s + shift, last.volts, last.amps, last.celsius]), mostRows);
  show(self.parts.curve.root, self.rows[0].length > 1);
  if (self.rows[0].length < 2) return;
  self.parts.curve.draw(self.rows, { shades: shadesOf(s, shift, last?.at_s), marks: marksOf(s, shift) });
}

// shadesOf are the stages as a curve shades them; the last one reaches to now.
export function shadesOf(s, shift, now) {
  return (s?.stages ?? []).map((g, i, all) => ({
    stage: g.stage, from: g.start_s + shift, to: Math.max(g.end_s, i === all.length - 1 && known(now) ? now : g.end_s) + shift,
  }));
}

// marksOf are the moments of a charge that a curve shows.
export function marksOf(s, shift) {
  const marks = [];
  if (known(s?.finish_s)) marks.push({ at: s.finish_s + shift, text: `full ${s.started ? clock(moment(s, s.finish_s)) : ""}`.trim() });
  for (const f of s?.findings ?? []) {
    if (f.severity !== "note") marks.push({ at: f.at_s + shift, text: f.severity === "alarm" ? "\u25b2 alarm" : "\u25c6 warning", colour: f.severity === "alarm" ? "alarm" : "warn", dash: [] });
  }
  return marks.sort((a, b) => a.at - b.at);
}
