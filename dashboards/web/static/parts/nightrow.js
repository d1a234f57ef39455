// One night in the list: when, what, how it came out, and its course as a strip that
// is as long as the night was, beside the others.

import { el, place } from "../lib/dom.js";
import { address } from "../lib/router.js";
import { within, known } from "../lib/number.js";
import { counted } from "../lib/text.js";
import { dateTime, duration } from "../lib/when.js";
import { kinds, outcomes, stages } from "../lib/words.js";

// nightName is how a night is called where there is little room.
export const nightName = (s) => s.started ? dateTime(Date.parse(s.started)) : s.id;

// outcomeMark is how a night came out.
export const outcomeMark = (s) => el("span", { class: "mark", "data-kind": kinds[s.outcome] ?? "" }, outcomes[s.outcome] ?? s.outcome);

export function nightRow(s, notes, longest, chosen, choose) {
  const name = nightName(s), charged = s.outcome !== "no-charge";
  const loud = s.findings.filter((f) => f.severity !== "note");
  const box = el("input", { type: "checkbox", value: s.id, "aria-label": `Choose ${name}`, onchange: (e) => choose(e.target.checked) });
  box.checked = chosen;
  const remarks = [
    loud.length > 0 && `${loud[0].code.replaceAll("-", " ")}${loud.length > 1 ? ` and ${loud.length - 1} more` : ""}`,
    notes > 0 && counted(notes, "note"),
  ].filter(Boolean).join(" \u00b7 ");
  return el("tr", {},
    el("td", { class: "pick" }, box),
    el("th", { scope: "row" }, el("a", { href: address("nights", [s.id]) }, name)),
    el("td", { class: "what" }, s.battery || el("span", { class: "quiet" }, s.channel)),
    el("td", { class: "how" }, outcomeMark(s), remarks && el("small", { class: "quiet" }, remarks)),
    el("td", { class: "number ah" }, charged ? `${within(s.charge_in_ah, s.charge_in_ah_u95)}\u00a0Ah` : ""),
    el("td", { class: "number took" }, charged ? duration(s.end_s - s.start_s) : ""),
    el("td", { class: "course" }, charged ? strip(s, longest) : ""));
}

function strip(s, longest) {
  const all = s.stages.filter((g) => g.stage !== "idle" && g.stage !== "rest" && known(g.end_s));
  const share = (seconds) => `${(100 * seconds / longest).toFixed(2)}%`;
  const words = all.map((g) => `${stages[g.stage]} ${duration(g.end_s - g.start_s)}`).join(", ");
  return el("div", { class: "strip", role: "img", "aria-label": words, title: words },
    all.map((g) => place(el("span", { "data-stage": g.stage }), { width: share(g.end_s - g.start_s) })));
}
