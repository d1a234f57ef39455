// The parts of a night: its stages, the rest after it, the resistance seen in it.

import { el, clear, show } from "../lib/dom.js";
import { digits, within, volts, amps, whole, known, fixed, nothing } from "../lib/number.js";
import { table } from "../lib/table.js";
import { sentence } from "../lib/text.js";
import { at, duration } from "../lib/when.js";
import { stages } from "../lib/words.js";
import { pairs } from "./figures.js";

// stageTable lists the stages with the reason for each.
export function stageTable(root, s) {
  const number = (text, name) => el("td", { class: "number", "data-name": name, "data-unknown": text === nothing }, text);
  const names = ["Stage", "From", "For", ["Ah", "number"], ["Wh", "number"], ["Mean V", "number"], ["Mean A", "number"], "Why"];
  clear(root).append(el("h2", {}, "Stages"), table("Stages", names, s.stages.map((g) => el("tr", {},
    el("th", { scope: "row" }, el("span", { class: "swatch", "data-stage": g.stage }), stages[g.stage] ?? g.stage),
    el("td", { class: "nowrap" }, at(s, g.start_s)), el("td", { class: "nowrap" }, duration(g.end_s - g.start_s)),
    number(digits(g.charge_ah), "Ah"), number(digits(g.energy_wh), "Wh"), number(volts(g.mean_v), "V"), number(amps(g.mean_a), "A"), el("td", { class: "reason" }, g.why))), "stages"));
}

// restPart says what the voltage after the charge tells.
export function restPart(root, s) {
  const r = s.rest;
  show(root, Boolean(r));
  if (!r) return;
  root.className = "card stack";
  const charge = known(r.state_of_charge) ? [["State of charge after it", `${whole(100 * r.state_of_charge)}\u00a0%`]] : [];
  clear(root).append(el("h2", {}, "Rest"),
    el("dl", { class: "pairs" }, pairs([
      ["Watched for", duration(r.duration_s)], ["Last seen at", `${volts(r.last_v)}\u00a0V`],
      ["Settles at", known(r.settled_v) ? `${within(r.settled_v, r.settled_v_u95)}\u00a0V` : "not known yet"], ...charge,
    ])),
    r.method ? el("details", {}, el("summary", {}, "How that was worked out"), el("p", { class: "quiet" }, sentence(r.method))) : "");
}

// resistancePart lists the steps of the current at which the resistance showed.
export function resistancePart(root, s) {
  const all = s.resistance, direct = s.dc_resistance?.[0];
  show(root, all.length > 0 || Boolean(direct));
  root.className = "card stack";
  if (all.length === 0) {
    if (direct) clear(root).append(el("h2", {}, "Resistance"), el("p", {}, el("strong", {}, milliohms(direct)), el("span", { class: "quiet" }, ` over the first ${whole(direct.seconds)}\u00a0s: ${direct.method}`)));
    return;
  }
  clear(root).append(el("h2", {}, "Resistance"),
    el("p", {}, el("strong", {}, milliohms(surest(all))), el("span", { class: "quiet" }, all.length > 1 ? `, the surest of ${all.length} steps of the current` : ", from one step of the current")),
    table("Resistance", ["At", "Current", ["Resistance", "number"], "Seen by"], all.map((r) => el("tr", {},
      el("td", {}, at(s, r.at_s)), el("td", { class: "nowrap" }, `${amps(r.from_a)} to ${amps(r.to_a)}\u00a0A`),
      el("td", { class: "number" }, milliohms(r)), el("td", {}, r.method)))));
}

// surest is the resistance with the least doubt; nothing where none was seen.
export const surest = (all) => [...all].sort((a, b) => a.ohm_u95 - b.ohm_u95)[0];

const milliohms = (r) => `${within(1000 * r.ohm, 1000 * r.ohm_u95)}\u00a0m\u03a9`;

// capacityFacts sets the charge against what the battery is rated for.
export function capacityFacts(s) {
  const c = s.capacity;
  const b = s.rest_before;
  const full = b && known(b.state_of_charge) ? `, about ${whole(100 * b.state_of_charge)}\u00a0% full` : "";
  return [
    ["Stood before it at", b ? `${volts(b.last_v)}\u00a0V${full}` : ""],
    ["Current at the end", s.outcome !== "running" && known(s.tail_a) ? `${amps(s.tail_a)}\u00a0A` : ""],
    ["Highest voltage", known(s.peak_v) ? `${volts(s.peak_v)}\u00a0V` : ""],
    ["Went out", s.charge_out_ah >= 0.005 ? `${digits(s.charge_out_ah)}\u00a0Ah` : ""],
    ["Rated", c && known(c.rated_ah) ? `${digits(c.rated_ah)}\u00a0Ah` : ""],
    ["Charge factor", c && known(c.charge_factor) ? fixed(c.charge_factor, 2) : ""],
    ["Emptied before it by", c && known(c.depth_of_discharge) ? `${whole(100 * c.depth_of_discharge)}\u00a0%` : ""],
  ].filter(([, value]) => value !== "");
}
