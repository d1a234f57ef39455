// Planning a charge: what the label says goes in, what to set the charger to comes
// out. The form stands in the address, so that a plan can be kept as a bookmark.

import { el, clear } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { filled, form } from "../lib/form.js";
import { rewrite } from "../lib/router.js";
import { say } from "../lib/say.js";
import { labelFields } from "../parts/planfields.js";
import { advice } from "../parts/advice.js";

export function open(root, route) {
  let asked = new AbortController();
  const told = Object.fromEntries(route.query);
  const result = el("div", { class: "stack plan-result" });
  const sheet = form({ parts: labelFields(told), button: "Plan it", act: plan });
  root.append(
    el("h1", {}, told.battery ? `Plan a charge of ${told.battery}` : "Plan a charge"),
    el("p", { class: "lead" }, "What does the label say?"),
    el("p", { class: "quiet" }, "Give what you know and leave the rest empty. Numbers may carry a unit, like 420Wh or 1h30min."),
    el("div", { class: "plan" }, el("div", { class: "card" }, sheet), result));

  async function plan(values) {
    asked.abort();
    asked = new AbortController();
    clear(result);
    // The server takes what the command line takes, and there a comma is none of numbers.
    const said = Object.fromEntries(Object.entries(filled(values)).map(([name, text]) => [name, text.replace(/(\d),(\d)/, "$1.$2")]));
    rewrite("plan", [], { battery: told.battery, ...said });
    const a = await get(path`plan`, said, asked.signal);
    result.append(...advice(a));
    result.querySelector("h2").focus();
    say(a.may_charge ? "The plan is made." : "Do not charge it as it is.");
  }

  if (Object.keys(told).some((name) => name !== "battery")) sheet.requestSubmit();
  return { close: () => asked.abort() };
}
