// What was found in a session, sorted out.

import { known } from "./number.js";

const order = ["alarm", "warning", "note"];
const passed = order.length; // ranks below all that holds

// holding are those that are true now.
export const holding = (session) => (session?.findings ?? []).filter((f) => !known(f.end_s));

// sorted puts what holds before what has passed, and the worse before the milder.
export function sorted(findings) {
  const rank = (f) => (known(f.end_s) ? passed : 0) + order.indexOf(f.severity);
  return [...findings].sort((a, b) => rank(a) - rank(b) || a.at_s - b.at_s);
}
