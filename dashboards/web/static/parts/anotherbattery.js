// Saying afterwards that another battery hung on the charger.

import { el, show } from "../lib/dom.js";
import { get, patch, path } from "../lib/api.js";
import { dialog } from "../lib/form.js";
import { say } from "../lib/say.js";

// anotherBattery is a button for a night, shown where the logbook has another battery that
// it may have been; draw(session) says how the night stands. tell(session) hears how it is
// told once another was chosen.
export function anotherBattery(id, tell) {
  let known = [], others = [], now = null;
  const button = el("button", { type: "button", hidden: true, onclick: () => dialog("Which battery was it?", {
    lead: "The night is judged again by what the logbook knows of that battery, and stands among its charges from then on.",
    parts: [[{ name: "battery", label: "Battery", kind: "choice", value: others[0], choices: others.map((name) => [name, name]) }]],
    button: "It was this one",
    act: async ({ battery }) => {
      tell(await patch(path`sessions/${id}`, { battery }));
      say(`It is a charge of ${battery} now.`);
    },
  }) }, "It was another battery");
  function draw(session) {
    now = session;
    others = known.filter((name) => name !== now.battery);
    show(button, others.length > 0 && now.outcome !== "running");
  }
  get(path`batteries`).then(({ batteries }) => {
    known = batteries.map((b) => b.name);
    if (now) draw(now);
  }).catch(() => {}); // the night itself is shown all the same
  return Object.assign(button, { draw });
}
