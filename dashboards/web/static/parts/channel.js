// One channel as it is now: a sentence, what was found, the ribbon of the night, the
// numbers, the curve, and how its source is.

import { el, clear, put, show, changed } from "../lib/dom.js";
import { link } from "../lib/store.js";
import { get, path } from "../lib/api.js";
import { meaning } from "../lib/meanings.js";
import { known } from "../lib/number.js";
import { stages, outcomes } from "../lib/words.js";
import { shiftOf, gapsOf, stagesOf, marksOf } from "../lib/annotated.js";
import { holding } from "../lib/findings.js";
import { fromSamples, broken, added, thinned } from "../lib/columns.js";
import { address } from "../lib/router.js";
import { curve } from "./curve.js";
import { standing, starts, ofChannel } from "./sentence.js";
import { ribbon } from "./ribbon.js";
import { figures, facts, pairs } from "./figures.js";
import { health } from "./health.js";
import { list } from "./findings.js";

const mostRows = 6000; // of a curve that grows
const anew = 300_000; // ms after which the whole curve is fetched again: it holds what was revised
const again = 10_000; // ms until the next try
const nothing = [[], [], [], []]; // a curve without rows

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
  const self = { root, entry, parts, rows: nothing, dated: false, session: null, due: 0 };

  const drawFindings = changed((findings, session, said) => {
    clear(found).append(...list(session, true, said));
    show(found, findings.length > 0);
  });
  const drawFacts = changed((all) => { clear(more).append(...pairs(all)); show(more, all.length > 0); });

  self.draw = () => {
    const channel = self.entry.state, s = channel.session, charge = chargeOf(channel);
    const since = (performance.now() - self.entry.at) / 1000;
    const how = standing(channel, since, link.state === "live");
    const now = how.last ? how.last.at_s + how.age : NaN;
    const said = ofChannel(channel, how, link.state === "live", meaning);
    put(battery, channel.battery ?? "");
    word.dataset.kind = said.kind;
    put(word, how.stale ? (how.last ? "No reading" : "Waiting") : worst(s) ?? (starts(channel, how.last) ? "Starting" : null) ?? stages[channel.stage] ?? outcomes[s?.outcome] ?? "Waiting");
    put(sentence, said.text);
    root.dataset.kind = said.kind;
    root.toggleAttribute("data-stale", how.stale);
    drawFindings((s?.findings ?? []).map((f) => [f, meaning(f.code)]), s, said.code);
    parts.ribbon.draw(s, now);
    put(why, channel.stage_why ? `Why: ${channel.stage_why}.` : "");
    show(why, Boolean(channel.stage_why));
    parts.figures.draw(how.last, s, how.stale);
    show(parts.figures.root, Boolean(how.last));
    drawFacts(facts(s, now));
    show(full, Boolean(charge));
    if (charge) full.href = address("nights", [s.id]);
    parts.health.draw(channel, since);
  };
  self.update = (next) => {
    self.entry = next;
    self.draw();
    drawCurve(self);
  };
  self.forget = () => { self.due = 0; }; // the daemon may know more since it came back
  self.close = () => parts.curve.close();
  self.update(entry);
  return self;
}

const worst = (s) => {
  const kinds = holding(s).map((f) => f.severity);
  return kinds.includes("alarm") ? "Alarm" : kinds.includes("warning") ? "Warning" : null;
};

// chargeOf is what the channel shows as a charge, if it is one.
const chargeOf = ({ session }) => session && session.outcome !== "no-charge" ? session : null;

// drawCurve adds the newest reading, and fetches what was before when it must.
async function drawCurve(self) {
  const { state } = self.entry, s = state.session, last = state.last_reading;
  const shift = shiftOf(s?.started || !last ? s : { started: last.at, start_s: last.at_s });
  const dated = shift > 0;
  if (dated !== self.dated) { // somebody set the clock
    self.dated = dated;
    self.rows = nothing;
    self.due = 0;
  }
  const charge = chargeOf(state); // nothing is kept of what is none
  if (charge && (charge.id !== self.session || performance.now() > self.due)) await fetchRows(self, charge, shift);
  if (last && known(last.at_s)) self.rows = thinned(added(self.rows, [last.at_s + shift, last.volts, last.amps, last.celsius]), mostRows);
  const some = self.rows[0].length > 1;
  show(self.parts.curve.root, some);
  if (some) self.parts.curve.draw(self.rows, { dated, stages: stagesOf(s, shift, last?.at_s), marks: marksOf(s, shift) });
}

// fetchRows fetches the whole curve. Until it is there the old one stays, if it is
// that of the same charge.
async function fetchRows(self, s, shift) {
  if (s.id !== self.session) self.rows = nothing;
  self.session = s.id;
  self.due = performance.now() + anew;
  try {
    const told = await get(path`sessions/${s.id}/samples`, { points: 1500, from: s.stages[0]?.start_s });
    if (self.session === s.id) self.rows = broken(fromSamples(told, shift), gapsOf(s, shift));
  } catch {
    self.due = performance.now() + again;
  }
}
