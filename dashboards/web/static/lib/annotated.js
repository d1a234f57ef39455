// What a curve shows of a session beside its rows. shift leads the session's own
// seconds to those of the curve.

import { known } from "./number.js";
import { clock, dated, moment } from "./when.js";

// shiftOf leads to the clock where the log knows the date, else nowhere.
export const shiftOf = (session) => dated(session) ? moment(session, 0) / 1000 : 0;

// stagesOf are the stages as a curve shades them; the last one reaches to now.
export function stagesOf(session, shift, now) {
  const all = session?.stages ?? [];
  return all.map((g, i) => ({
    stage: g.stage, from: g.start_s + shift, to: Math.max(g.end_s, i === all.length - 1 && known(now) ? now : g.end_s) + shift,
  }));
}

export const gapsOf = (session, shift) => session.gaps.map((g) => [g.start_s + shift, g.end_s + shift]);

// marksOf are the moments of a charge: when it was full, and what went wrong.
export function marksOf(session, shift) {
  const marks = [];
  if (known(session?.finish_s)) marks.push({ at: session.finish_s + shift, text: dated(session) ? `full ${clock(moment(session, session.finish_s), moment(session, session.finish_s))}` : "full" });
  for (const f of session?.findings ?? []) {
    if (f.severity === "alarm") marks.push({ at: f.at_s + shift, text: "\u25b2 alarm", colour: "alarm", solid: true });
    if (f.severity === "warning") marks.push({ at: f.at_s + shift, text: "\u25c6 warning", colour: "warn", solid: true });
  }
  return marks.sort((a, b) => a.at - b.at);
}

// bandOf is where the voltage settles after the charge, from its last current to the
// end of what is seen.
export function bandOf(session, shift) {
  const r = session?.rest;
  if (!known(r?.settled_v) || !known(r.settled_v_u95)) return null;
  return { from: session.end_s + shift, to: session.end_s + r.duration_s + shift, value: r.settled_v, doubt: r.settled_v_u95 };
}
