// A plan: what to do in one sentence, what to mind, then each figure with its reason.

import { el } from "../lib/dom.js";
import { fixed, known } from "../lib/number.js";
import { short } from "../lib/form.js";
import { copyButton } from "../lib/copy.js";
import { capital } from "../lib/text.js";
import { applyLimits } from "./applylimits.js";
import { pairs } from "./figures.js";

export function advice(a) {
  return [
    el("h2", { tabindex: "-1", class: "lead" }, sentence(a)),
    ...a.warnings.map((text, n) => warning(text, !a.may_charge && n === 0)),
    el("p", { class: "screen-only" }, el("button", { type: "button", class: "plain", onclick: () => document.getElementById("cautions").scrollIntoView() }, "Before you connect anything, read what to mind")),
    figures(a),
    cautions(a.cautions),
    el("div", { class: "side-by-side" }, list("Taken for granted", a.assumptions), list("A better plan needs", a.missing)),
    limits(a),
  ].filter(Boolean);
}

// warning is one of what to mind; the first of what must not be charged says so.
function warning(text, forbids) {
  return el("p", { class: "note", "data-kind": forbids ? "alarm" : "warning" },
    el("strong", {}, forbids ? "Do not charge: " : "Mind: "), text.replace(/^do not charge: /, ""), ".");
}

function sentence(a) {
  if (!a.may_charge) return "It must not be charged as it is.";
  const volts = known(a.voltage.absorption_v) ? ` and ${fixed(a.voltage.absorption_v, 2)}\u00a0V` : "";
  const time = a.hours ? `; allow ${a.hours.spoken}` : "";
  if (!known(a.current.chosen_a)) return "A capacity is needed before a current can be named.";
  const { chosen_a: amps, fastest_a: most, cautious_a: gentle } = a.current;
  if (known(most) && amps > most * (1 + 1e-6)) {
    return `Do not set ${short(amps)}\u00a0A: this battery should get ${short(most)}\u00a0A at most, and ${short(gentle)}\u00a0A is gentle on it.`;
  }
  return `Set ${short(amps)}\u00a0A${volts}${time}.`;
}

const range = (low, high, unit, decimals) => known(low) && known(high) && low !== high ? `${fixed(low, decimals)} to ${fixed(high, decimals)}\u00a0${unit}` : null;
const one = (x, unit, decimals) => known(x) ? `${decimals == null ? short(x) : fixed(x, decimals)}\u00a0${unit}` : null;
const about = (x, unit) => known(x) ? `${short(x, 2)}\u00a0${unit}` : null; // rules of thumb

function figures(a) {
  const { current: i, voltage: v, hours: h, charger: c, capacity: q, ventilation: air, leads } = a;
  return el("div", { class: "settings" }, [
    group("Current", [["Cautious", one(i.cautious_a, "A")], ["Fastest", one(i.fastest_a, "A")],
      ["Planned with", i.chosen_a === i.cautious_a ? null : one(i.chosen_a, "A")]], i.reasons),
    group("Voltage", [["While charging", one(v.absorption_v, "V", 2)], ["Makers' range", range(v.absorption_low_v, v.absorption_high_v, "V", 2)],
      ["To hold it full", one(v.float_v, "V", 2)]], v.reasons),
    h && group("Time", [["At the planned current", h.spoken], ["At the fastest", range(h.fastest_low_h, h.fastest_high_h, "h", 0)],
      ["Charge to go in", range(h.return_low_ah, h.return_high_ah, "Ah", h.return_high_ah < 1 ? 3 : h.return_high_ah < 10 ? 1 : 0)]], h.reasons),
    group("The charger\u2019s own guards", [["Safety timer", one(c.timer_h, "h", 0)], ["Capacity cut-off", one(c.cut_off_ah, "Ah", c.cut_off_ah < 10 ? null : 0)],
      ["Full when down to", one(c.tail_a, "A")], ["Its timer now", one(c.own_timer_h, "h")]], c.reasons),
    group("Capacity", [["Cautious estimate", one(q.cautious_ah, "Ah")], ["At 25 A", one(q.at_25_a_ah, "Ah")],
      ["Over 20 h", one(q.twenty_hour_ah, "Ah")], ["As rated", known(q.rated_ah) ? `${short(q.rated_ah)}\u00a0Ah over ${short(q.rated_hours)}\u00a0h` : null]], q.reasons),
    air && group("Ventilation", [["Fresh air", about(air.airflow_m3_per_h, "m\u00b3/h")], ["Openings, high and low", about(air.opening_cm2, "cm\u00b2 each")],
      ["Or a room of", about(air.room_m3, "m\u00b3")], ["No spark within", about(air.distance_m, "m")]], air.reasons),
    leads && group("Leads", [["Lost in them", about(leads.drop_v, "V")], ["Their resistance", about(1000 * leads.loop_ohm, "m\u03a9")], ["Their heat", about(leads.heat_w, "W")]], leads.reasons),
  ]);
}

function group(title, facts, reasons) {
  const told = facts.filter(([, value]) => value);
  if (told.length === 0) return null;
  return el("section", { class: "card" }, el("h3", {}, title),
    el("dl", { class: "pairs" }, pairs(told)),
    reasons.length > 0 && el("details", {}, el("summary", {}, "Why, and who says so"),
      el("ul", { class: "reasons" }, reasons.map((r) => el("li", {}, `${capital(r.why)}. `, el("small", { class: "quiet" }, r.source))))));
}

function cautions(all) {
  return el("section", { class: "card cautions", "aria-labelledby": "cautions" }, el("h3", { id: "cautions" }, "Before you connect anything"),
    el("ul", {}, all.map((c) => el("li", {}, c.text, " ", el("small", { class: "quiet" }, c.source)))));
}

function list(title, texts) {
  return texts.length > 0 && el("section", {}, el("h3", {}, title), el("ul", { class: "dots" }, texts.map((t) => el("li", {}, t))));
}

function limits(a) {
  const snippet = el("code", { class: "snippet", tabindex: "0" }, a.limits_yaml);
  return el("section", { class: "card stack", "aria-labelledby": "limits" }, el("h3", { id: "limits" }, "Let amphora watch by this plan"),
    el("p", {}, "Paste this into the channel in ", el("code", {}, "amphora.yaml"), ":"),
    el("div", { class: "row" }, snippet, copyButton("Copy", () => a.limits_yaml)),
    applyLimits(a.limits));
}
