// The quantities of a battery over the months.

import { el } from "../lib/dom.js";
import { fixed, known, within } from "../lib/number.js";
import { date } from "../lib/when.js";
import { address } from "../lib/router.js";
import { table } from "../lib/table.js";
import { capital } from "../lib/text.js";
import { chart, places } from "../lib/trend.js";

// What people look at first; the rest can be unfolded.
const first = ["capacity-by-charge", "absorbed-charge", "settled-voltage", "resistance-after-charge", "resistance-before-charge", "resistance-direct-current", "resistance-by-hand"];

export function trends({ trends: all }) {
  const drawn = all.filter((t) => t.points.length > 1), lone = all.filter((t) => t.points.length === 1);
  const main = first.map((q) => drawn.find((t) => t.quantity === q)).filter(Boolean);
  const others = drawn.filter((t) => !main.includes(t));
  if (all.length === 0) {
    return el("section", { class: "card" }, el("h2", {}, "Over the months"),
      el("p", { class: "quiet" }, "Nothing to draw yet. Each complete charge and each reading by hand adds to what can be followed here."));
  }
  return el("section", { "aria-labelledby": "over-months", class: "stack" }, el("h2", { id: "over-months" }, "Over the months"),
    el("div", { class: "trends" }, main.map(card)),
    others.length > 0 && el("details", {}, el("summary", {}, "More that is followed"), el("div", { class: "trends" }, others.map(card))),
    lone.length > 0 && el("p", { class: "quiet" }, `Seen once so far: ${lone.map((t) => t.name).join(", ")}.`));
}

// The numbers of years are made a table of only when somebody unfolds them.
function numbers(t) {
  const box = el("div");
  const all = el("details", { ontoggle: () => { if (all.open && !box.firstChild) box.append(listOf(t)); } },
    el("summary", {}, "How to read it, and the numbers"),
    el("p", {}, `A dot is one observation${t.points.some((p) => known(p.u95)) ? "; the bar through it is how sure that one is (95 %)" : ""}.`,
      t.enough && " The line is what they have in common, the pale fan what its slope may be instead (95 %).",
      t.note && ` ${capital(t.note)}.`,
      t.left_out > 0 && ` ${t.left_out} more could not be compared with these.`),
    box);
  return all;
}

function card(t) {
  return el("figure", { class: "card trend" },
    el("figcaption", {}, el("h3", {}, capital(t.name) + (t.unit ? `, ${unit(t.unit)}` : "")), el("p", {}, changeOf(t), ".")),
    chart(t), numbers(t));
}

// changeOf is what a trend says without naming it once more.
function changeOf(t) {
  return capital(t.words.startsWith(t.name) ? t.words.slice(t.name.length).replace(/^[:\s]+/, "") : t.words);
}

const unit = (text) => text === "mohm" ? "m\u03a9" : text;

function listOf(t) {
  const decimals = places(t);
  const day = (p) => date(Date.parse(p.at));
  return table(`Numbers: ${t.name}`, ["Day", [unit(t.unit) || "Value", "number"]], [...t.points].reverse().map((p) => el("tr", {},
    el("th", { scope: "row" }, p.session ? el("a", { href: address("nights", [p.session]) }, day(p)) : day(p)),
    el("td", { class: "number" }, known(p.u95) ? within(p.value, p.u95) : fixed(p.value, decimals)))));
}
