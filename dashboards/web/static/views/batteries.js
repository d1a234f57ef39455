// The batteries: what is known of each, how it ages, and what was measured by hand.

import { el, clear, put } from "../lib/dom.js";
import { get, post, path, Refusal } from "../lib/api.js";
import { dialog, filled } from "../lib/form.js";
import { address, title } from "../lib/router.js";
import { say } from "../lib/say.js";
import { listed, sentence } from "../lib/text.js";
import { date } from "../lib/when.js";
import { outcomes } from "../lib/words.js";
import { batteryFields } from "../parts/batteryfields.js";
import { kindOf, ratingOf, stateMark } from "../parts/battery.js";
import { showBattery } from "../parts/batterypage.js";

export function open(root, route) {
  const asked = new AbortController();
  const name = route.parts[0];
  const shown = name ? showBattery(root, name, asked.signal) : showAll(root, asked.signal);
  shown.catch((error) => {
    if (error.name !== "AbortError") failed(root, error, name);
  });
  return { close: () => asked.abort() };
}

function failed(root, error, name) {
  const unknown = error instanceof Refusal && error.status === 404;
  clear(root).append(
    el("h1", {}, unknown ? `There is no battery called ${name}.` : "The logbook cannot be shown."),
    el("p", {}, unknown ? "" : error.message, " ", el("a", { href: address("batteries") }, "All batteries")));
}

async function showAll(root, signal) {
  const { batteries } = await get(path`batteries`, {}, signal);
  const inUse = batteries.filter((b) => !b.retired), retired = batteries.filter((b) => b.retired);
  const head = el("div", { class: "row heading" }, el("h1", { class: "wide" }, "Batteries"),
    el("button", { type: "button", class: "main", onclick: add }, "Add a battery"));
  const lead = el("p", { class: "lead" }, summary(inUse.length, retired.length, []));
  const cards = inUse.map((b) => card(b));
  root.append(head, lead, el("ul", { class: "batteries" }, cards.map((c) => c.root)));
  if (retired.length) {
    root.append(el("details", { class: "retired" }, el("summary", {}, retired.length === 1 ? "One that was retired" : `${retired.length} that were retired`),
      el("ul", { class: "plain-list" }, retired.map((b) => el("li", {}, link(b), ` \u2013 retired on ${date(Date.parse(b.retired))}`)))));
  }
  const worn = [];
  for (const [n, c] of cards.entries()) { // one after the other, as the server does it
    if (wearing.has(await c.judge(signal))) worn.push(inUse[n].name);
  }
  put(lead, summary(inUse.length, retired.length, worn));
}

const wearing = new Set(["ageing", "near-replacement", "replace"]);

function summary(inUse, retired, worn) {
  if (inUse === 0 && retired === 0) return "The logbook knows no battery yet. Add one, and name it in the configuration of a channel: its charges then gather here.";
  if (inUse === 0) return "No battery is in use.";
  const many = inUse === 1 ? "One battery is in use" : `${inUse} batteries are in use`;
  return worn.length === 0 ? `${many}.` : `${many}; ${listed(worn)} ${worn.length === 1 ? "shows its age" : "show their age"}.`;
}

const link = (b) => el("a", { href: address("batteries", [b.name]) }, b.name);

// card is a battery in the list; judge fetches when it was charged last, by which one
// sees whose turn it is, and its verdict, which costs the server most.
function card(b) {
  const verdict = el("p", { class: "quiet" }, "Looking at its charges\u2026");
  const root = el("li", { class: "card battery" },
    el("h2", {}, link(b)),
    el("p", { class: "quiet" }, [kindOf(b), ratingOf(b), b.where].filter(Boolean).join(", ") || "Nothing is known of it but its name."),
    verdict);
  return {
    root,
    judge: async (signal) => {
      try {
        const last = (await get(path`sessions`, { battery: b.name, limit: 1 }, signal)).sessions[0];
        if (last?.started) verdict.before(el("p", { class: "quiet" }, `Last charged on ${date(Date.parse(last.started))}: ${outcomes[last.outcome].toLowerCase()}.`));
        const c = await get(path`batteries/${b.name}/condition`, {}, signal);
        verdict.replaceWith(el("div", { class: "stack close" }, stateMark(c.verdict.state),
          c.verdict.state === "not-enough-data" ? el("p", { class: "quiet" }, charges(c.charges)) : el("p", {}, c.verdict.text)));
        return c.verdict.state;
      } catch (error) {
        if (error.name === "AbortError") throw error;
        put(verdict, `Its condition cannot be shown: ${error.message}`);
      }
    },
  };
}

const charges = (n) => n === 0 ? "No charge was recorded yet." : n === 1 ? "One charge so far." : `${n} charges so far.`;

function add() {
  dialog("Add a battery", {
    lead: "The name is enough; each thing more that the label says makes plans, forecasts and warnings better.",
    parts: batteryFields(null),
    button: "Add it",
    act: async (values) => {
      const b = await post(path`batteries`, filled(values));
      say([`${b.name} was added.`, ...(b.mistyped ?? []).map(sentence)].join(" "));
      title(b.name);
      location.hash = address("batteries", [b.name]);
    },
  });
}
