// What was found, the worst first: what it means and what to do, then the evidence.

import { el } from "../lib/dom.js";
import { sorted } from "../lib/findings.js";
import { meaning } from "../lib/meanings.js";
import { sentence } from "../lib/text.js";
import { severities } from "../lib/words.js";
import { at, duration } from "../lib/when.js";
import { known } from "../lib/number.js";

// list makes the items. Where there are many notes they are folded away: nothing is
// asked of anybody there. now tells that this is how things stand, said is the code whose
// meaning stands above them already.
export function list(session, now, said) {
  const all = sorted(session?.findings ?? []);
  const loud = all.filter((f) => f.severity !== "note"), notes = all.filter((f) => f.severity === "note");
  const items = loud.map((f) => item(session, f, now, f.code === said));
  if (notes.length > 2) {
    items.push(el("li", { class: "finding" }, el("details", {},
      el("summary", {}, `${notes.length} notes`), el("ul", { class: "findings" }, notes.map((f) => item(session, f, now))))));
  } else {
    items.push(...notes.map((f) => item(session, f, now)));
  }
  return items;
}

function item(session, f, now, said) {
  const past = known(f.end_s);
  const lasted = f.end_s - f.at_s; // nothing, where it was a moment
  const time = !past ? `since ${at(session, f.at_s)}` : at(session, f.at_s) + (lasted > 0 ? `, for ${duration(lasted)}` : "");
  const means = said ? "" : meaning(f.code, past || !now);
  return el("li", { class: "finding note", "data-kind": f.severity, "data-past": past },
    el("p", {}, el("span", { class: "mark", "data-kind": f.severity }, severities[f.severity] ?? f.severity), " ",
      el("small", { class: "quiet" }, past ? `over: ${time}` : time)),
    means && el("p", {}, means),
    el("p", { class: means ? "because" : "" }, sentence(f.message)));
}
