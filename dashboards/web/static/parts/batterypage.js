// One battery: its verdict with the evidence, how it changes, and what is known.

import { el, clear } from "../lib/dom.js";
import { get, post, patch, path } from "../lib/api.js";
import { dialog, filled, plain } from "../lib/form.js";
import { address, title } from "../lib/router.js";
import { say } from "../lib/say.js";
import { table } from "../lib/table.js";
import { capital, sentence } from "../lib/text.js";
import { date, dateTime } from "../lib/when.js";
import { fixed, within, known } from "../lib/number.js";
import { outcomes } from "../lib/words.js";
import { batteryFields, readingFields } from "./batteryfields.js";
import { kindOf, ratingOf, stateMark } from "./battery.js";
import { pairs } from "./figures.js";
import { nightName } from "./nightrow.js";
import { trends } from "./batterytrends.js";

const latestNights = 12;

// mistyped is what looks so in a reading that was noted just now.
export async function showBattery(root, name, signal, mistyped = []) {
  const b = await get(path`batteries/${name}`, {}, signal);
  const [condition, { readings }, { sessions }] = await Promise.all([
    get(path`batteries/${name}/condition`, {}, signal),
    get(path`batteries/${name}/readings`, {}, signal),
    get(path`sessions`, { battery: name, limit: latestNights }, signal),
  ]);
  const again = async (noted) => {
    await showBattery(root, name, signal, noted?.mistyped);
    document.getElementById("main").focus({ preventScroll: true }); // what had it is gone
  };
  title(b.name);
  clear(root).append(
    el("p", { class: "back" }, el("a", { href: address("batteries") }, "All batteries")),
    el("h1", {}, b.name),
    ...[...b.mistyped ?? [], ...mistyped].map((text) => el("p", { class: "note", "data-kind": "warning" }, el("strong", {}, "Mistyped? "), sentence(text), " It was noted all the same.")),
    verdict(b, condition),
    actions(b, again),
    el("div", { class: "side-by-side" }, labelCard(b), nightsCard(b, sessions)),
    trends(condition),
    readingsCard(readings));
}

function verdict(b, { verdict: v, depths, capacity }) {
  const more = [capacity?.words, depths.at(-1)?.words && `Last complete charge: ${depths.at(-1).words}`].filter(Boolean);
  return el("section", { class: "verdict", "aria-label": "How it stands" },
    b.retired && el("p", { class: "note" }, `Retired on ${date(Date.parse(b.retired))}: it is in use no more.`),
    stateMark(v.state),
    el("p", { class: "lead" }, v.text),
    (v.evidence.length > 0 || more.length > 0) && el("ul", { class: "evidence" },
      v.evidence.map((e) => el("li", {}, capital(e.text), ". ", e.source && el("small", { class: "quiet" }, `Source: ${e.source}`))),
      more.map((text) => el("li", {}, sentence(text)))));
}

function actions(b, again) {
  const change = async (fields, said) => {
    const noted = await patch(path`batteries/${b.name}`, fields);
    say([said, ...(noted.mistyped ?? []).map(sentence)].join(" "));
    await again();
  };
  const button = (words, act, kind) => el("button", { type: "button", class: kind, onclick: act }, words);
  return el("div", { class: "row screen-only" },
    button("Add a reading", () => dialog(`A reading of ${b.name}`, {
      lead: "Give what was measured; the rest stays empty.",
      parts: readingFields(), button: "Add it",
      act: async (values) => {
        const noted = await post(path`batteries/${b.name}/readings`, filled(values));
        say(["The reading was added.", ...(noted.mistyped ?? []).map(sentence)].join(" "));
        await again(noted);
      },
    }), "main"),
    button("Edit", () => dialog(`Edit ${b.name}`, {
      lead: "What is left empty becomes unknown.",
      parts: batteryFields(b), button: "Keep it", act: (values) => change(values, `${b.name} was changed.`),
    })),
    el("a", { class: "button", href: address("plan", [], planOf(b)) }, "Plan a charge"),
    b.retired
      ? button("Back in use", () => change({ retired: null }, `${b.name} is in use again.`))
      : button("Retire", () => dialog(`Retire ${b.name}?`, {
        lead: "It stays in the logbook with all its charges, and can be taken back.",
        parts: [], button: "Retire it", act: () => change({ retired: new Date().toISOString() }, `${b.name} was retired.`),
      })));
}

// planOf is what the planner may know of a battery.
function planOf(b) {
  return {
    battery: b.name, chemistry: b.chemistry, cells: b.cells, capacity: b.capacity_ah,
    "rated-hours": b.capacity_ah && b.capacity_hours, "reserve-minutes": b.reserve_minutes,
  };
}

function labelCard(b) {
  const facts = [["Kind", kindOf(b)], ["Size", ratingOf(b)], ["Bought", b.bought], ["Where", b.where], ["Note", b.note]].filter(([, value]) => value);
  return el("section", { class: "card" }, el("h2", {}, "From the label"),
    facts.length ? el("dl", { class: "pairs" }, pairs(facts))
      : el("p", { class: "quiet" }, "Nothing is known of it but its name. Edit it, and plans and forecasts become better."));
}

function nightsCard(b, sessions) {
  return el("section", { class: "card" }, el("h2", {}, "Latest nights"),
    sessions.length === 0 ? el("p", { class: "quiet" }, "No charge was recorded yet. A channel whose configuration names this battery records them.")
      : el("ul", { class: "plain-list" }, sessions.map((s) => el("li", {},
        el("a", { href: address("nights", [s.id]) }, nightName(s)),
        ` \u2013 ${outcomes[s.outcome] ?? s.outcome}, ${within(s.charge_in_ah, s.charge_in_ah_u95)} Ah in`))),
    sessions.length === latestNights && el("p", {}, el("a", { href: address("nights", [], { battery: b.name }) }, "All its nights")));
}

function readingsCard(readings) {
  const shown = [...readings].sort((a, b) => Date.parse(b.at) - Date.parse(a.at));
  // As many decimals as somebody has written, up to millivolts.
  const decimals = Math.max(0, ...readings.map((r) => known(r.volts) ? Math.min(3, (String(r.volts).split(".")[1] ?? "").length) : 0));
  const columns = [
    ["Rest voltage, V", (r) => known(r.volts) ? fixed(r.volts, decimals) : ""], ["Resistance, m\u03a9", (r) => known(r.ohm) ? fixed(1000 * r.ohm, 1) : ""],
    ["Specific gravity", (r) => known(r.gravity) ? fixed(r.gravity, 3) : ""], ["Temperature, \u00b0C", (r) => plain(r.celsius)],
  ].filter(([, text]) => readings.some((r) => text(r)));
  return el("section", { class: "card" }, el("h2", {}, "Measured by hand"),
    shown.length === 0 ? el("p", { class: "quiet" }, "No reading was noted yet.")
      : table("Readings", ["When", ...columns.map(([name]) => [name, "number"]), "Remark"], shown.map((r) => el("tr", {},
        el("th", { scope: "row" }, dateTime(Date.parse(r.at))),
        columns.map(([name, text]) => el("td", { class: "number", "data-name": name }, text(r))),
        el("td", { "data-name": "Remark" }, [r.remark, r.means && `(${r.means})`].filter(Boolean).join(" ")))), "stacked"));
}
