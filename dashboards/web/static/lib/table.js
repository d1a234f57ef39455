// Tables in a box of their own, in which they scroll where the screen is narrower: the
// keyboard reaches it, and a screen reader can name it.

import { el } from "./dom.js";

// table puts rows below the names of their columns. A name is a text, [text, class], or
// a cell of its own; kind is the table's class.
export function table(label, names, rows, kind) {
  return el("div", { class: "table", tabindex: "0", role: "region", "aria-label": label },
    el("table", { class: kind }, el("thead", {}, el("tr", {}, names.map(head))), el("tbody", {}, rows)));
}

function head(name) {
  if (name instanceof Element) return name;
  const [text, kind] = [name].flat();
  return el("th", { scope: "col", class: kind }, text);
}
