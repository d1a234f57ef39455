// How a channel's source is, and why lines of it were refused.

import { el, put, show, changed, clear } from "../lib/dom.js";
import { whole } from "../lib/number.js";
import { counted } from "../lib/text.js";

export function source(name) {
  const lead = el("p", { class: "lead" }), setting = el("code"), hint = el("p", { class: "note", "data-kind": "warning" });
  const root = el("section", { "aria-label": `The source of ${name}`, class: "stack close" }, lead,
    el("p", { class: "quiet" }, "Read as ", setting), hint);
  return {
    root,
    tell(c) {
      const { source: s } = c;
      put(lead, `${name} ${s.up ? "listens to" : "waits for"} ${s.name}: ${c.rows === 0 ? "no line yet" : `${counted(c.used, "reading")} of ${counted(c.rows, "line")}`}.`);
      put(setting, c.decoder ?? (c.rows === 0 ? "nothing yet" : "nothing yet: no decoder fits"));
      const words = [!s.up && s.state, s.warning, s.hint].filter(Boolean).join("; ");
      put(hint, words);
      show(hint, words !== "");
    },
  };
}

// refusedFor is why lines were refused, [reason, lines] each, the commonest first.
export const refusedFor = ({ rejected_by_reason: reasons }) => Object.entries(reasons ?? {}).sort((a, b) => b[1] - a[1]);

export function refusals(name) {
  const words = el("p"), body = el("tbody");
  const table = el("div", { class: "table" }, el("table", {}, el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Reason"), el("th", { scope: "col", class: "number" }, "Lines"))), body));
  const draw = changed(({ reasons, used, rows }) => {
    clear(body).append(...reasons.map(([why, n]) => el("tr", {}, el("td", {}, why), el("td", { class: "number" }, whole(n)))));
    show(table, reasons.length > 0);
    put(words, reasons.length > 0 ? "Headers and banners are here too; only many refusals of one kind are a sign that something is wrong."
      : rows === 0 ? "No line has come yet." : used === 0 ? "No line could be read yet, for want of a decoder." : "Every line was a reading.");
  });
  return {
    root: el("section", { class: "card", "aria-label": `Lines of ${name} that were refused` }, el("h2", {}, "Lines that are no reading"), words, table),
    // Whether there was any reading is told, not how many: else each would draw anew.
    tell: (c) => draw({ reasons: refusedFor(c), used: Math.min(c.used, 1), rows: Math.min(c.rows, 1) }),
  };
}
