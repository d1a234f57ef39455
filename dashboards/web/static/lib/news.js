// Tells, whatever view is shown, what changed in kind: aloud for those who listen,
// and as a mark beside "Now" for those who look elsewhere.

import { all, named, subscribe } from "./store.js";
import { say, cry } from "./say.js";
import { holding } from "./findings.js";
import { meaning } from "./meanings.js";
import { stages, outcomes, severities } from "./words.js";

const before = new Map(); // by channel: what was last told of it

// tellNews begins to tell; nav is the navigation's link to the view of what happens now.
export function tellNews(nav) {
  subscribe((what, name) => {
    if (what === "channels") all().forEach(({ state }) => compare(state));
    else if (what === "channel") compare(named(name).state);
    else return;
    markAlarm(nav());
  });
}

function standing(c) {
  const loud = holding(c.session).filter((f) => f.severity !== "note");
  return {
    up: c.source.up || c.source.silent, silent: c.reading === null && c.last_reading !== null, stage: c.stage,
    session: c.session?.id, outcome: c.session?.outcome, found: new Map(loud.map((f) => [f.code, f])),
  };
}

function compare(c) {
  const now = standing(c), old = before.get(c.name);
  before.set(c.name, now);
  const tell = (text) => say(`${c.name}: ${text}.`);
  for (const [code, f] of now.found) {
    if (old?.found.has(code) || (!old && f.severity !== "alarm")) continue;
    (f.severity === "alarm" ? cry : say)(`${severities[f.severity]}, ${c.name}: ${meaning(code) || f.message}`);
  }
  if (!old) return; // the page has just been opened: nothing has changed
  for (const code of old.found.keys()) if (!now.found.has(code)) tell(`${code.replaceAll("-", " ")} is over`);
  if (old.up !== now.up) tell(now.up ? "the source is back" : `the source is lost, ${c.source.state}`);
  else if (old.silent !== now.silent) tell(now.silent ? "no reading any more" : "readings come again");
  if (old.session === now.session && old.outcome !== now.outcome && now.outcome) tell(outcomes[now.outcome].toLowerCase());
  if (old.stage !== now.stage && now.stage) tell(stages[now.stage].toLowerCase());
}

function markAlarm(link) {
  if (!link) return;
  const alarm = [...before].some(([name, s]) => named(name) && [...s.found.values()].some((f) => f.severity === "alarm"));
  link.toggleAttribute("data-alarm", alarm);
  if (alarm) link.setAttribute("aria-label", "Now, with an alarm");
  else link.removeAttribute("aria-label");
}
