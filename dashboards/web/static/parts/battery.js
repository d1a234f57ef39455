// Batteries in words.

import { el } from "../lib/dom.js";
import { plain } from "../lib/form.js";
import { chemistries } from "../lib/words.js";

const states = {
  "not-enough-data": ["none", "Not enough data"],
  "no-sign-of-ageing": ["good", "No sign of ageing"],
  "ageing": ["warning", "Ageing"],
  "near-replacement": ["warning", "Near replacement"],
  "replace": ["alarm", "Replace it"],
};

export function stateMark(state) {
  const [kind, words] = states[state] ?? ["none", state];
  return el("p", { class: "mark", "data-kind": kind }, words);
}

// kindOf is what kind of battery it is: "lead-acid, AGM, 6 cells".
export function kindOf(b) {
  const cells = b.cells && (b.cells === 1 ? "one cell" : `${b.cells} cells`);
  return [chemistries[b.chemistry] ?? b.chemistry, cells].filter(Boolean).join(", ");
}

// ratingOf is what the label says of its size.
export function ratingOf(b) {
  const over = b.capacity_hours ? ` over ${plain(b.capacity_hours)} h` : "";
  return [b.capacity_ah && `${plain(b.capacity_ah)} Ah${over}`, b.reserve_minutes && `${plain(b.reserve_minutes)} min at 25 A`].filter(Boolean).join(", ");
}
