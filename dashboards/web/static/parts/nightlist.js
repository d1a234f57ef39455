// The list of nights, to be searched and put in order; from it one opens one, or
// chooses several to lay them over each other.

import { el, clear, put, show } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { address, rewrite } from "../lib/router.js";
import { rove } from "../lib/rove.js";
import { say } from "../lib/say.js";
import { whole } from "../lib/number.js";
import { counted } from "../lib/text.js";
import { outcomes } from "../lib/words.js";
import { nightRow } from "./nightrow.js";

const pageLength = 50;
const pause = 250; // ms of stillness after which a search begins
export const mostOver = 6; // nights over each other; more nobody can tell apart

const columns = [["started", "Night"], ["battery", "Battery"], ["outcome", "Outcome"], ["charge", "Went in", "number"], ["length", "Took", "number"]];

export function openList(root, query) {
  const found = new Map(); // the sessions that are shown, by id
  const chosen = new Set();
  let next = null, asking = null, timer = 0;

  const form = searchForm(query, () => { clearTimeout(timer); timer = setTimeout(search, pause); });
  const heads = columns.map(([key, name, kind]) => el("th", { scope: "col", class: kind }, el("button", { type: "button", onclick: () => sortBy(key) }, name)));
  const rows = el("tbody"), count = el("p", { class: "quiet" }), wrong = el("p", { class: "note", "data-kind": "warning", hidden: true });
  const more = el("button", { type: "button", onclick: () => fetchPage(next) }, "Show more");
  const over = el("a", { class: "button" }, "Lay over each other");
  const choice = el("div", { class: "choice row", hidden: true }, el("p", { class: "wide" }), over,
    el("button", { type: "button", onclick: () => { chosen.clear(); drawChoice(); } }, "Choose none"));
  const table = el("table", { class: "nights" }, el("caption", { class: "unseen" }, "Recorded charges"),
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, el("span", { class: "unseen" }, "Choose")), heads, el("th", { scope: "col" }, "Course"))), rows);
  const none = el("div", { class: "card stack", hidden: true });
  root.append(el("h1", {}, "Nights"), form.root, el("div", { class: "row" }, count), wrong, choice, none, el("div", { class: "card listing" }, table), more);
  const settle = rove(rows, "tr", "a, input");

  function sortBy(key) {
    const was = form.values().sort;
    // What one usually wants first: the newest, the most, the longest; words from A.
    const usual = key === "battery" || key === "outcome" ? key : `-${key}`;
    form.sort(was === usual ? (usual.startsWith("-") ? key : `-${key}`) : usual);
    search();
  }
  function drawOrder() {
    const sort = form.values().sort || "-started", key = sort.replace("-", "");
    heads.forEach((h, i) => {
      if (columns[i][0] === key) h.setAttribute("aria-sort", sort.startsWith("-") ? "descending" : "ascending");
      else h.removeAttribute("aria-sort");
    });
  }
  function search() {
    rewrite("nights", [], form.values());
    drawOrder();
    fetchPage(null);
  }
  async function fetchPage(before) {
    asking?.abort();
    asking = new AbortController();
    const { sort, since, until, ...fields } = form.values();
    const wanted = { ...fields, sort: sort === "-started" ? "" : sort, since: dayStart(since, 0), until: dayStart(until, 1), limit: pageLength, before };
    try {
      const told = await get(path`sessions`, wanted, asking.signal);
      show(wrong, false);
      draw(told, !before);
    } catch (error) {
      if (error.name === "AbortError") return;
      put(wrong, error.message);
      show(wrong, true);
    }
  }
  function draw({ sessions, notes, total, next: after }, anew) {
    if (anew) {
      clear(rows);
      found.clear();
    }
    const fresh = sessions.filter((s) => !found.has(s.id)); // one may come twice where a new night moved the rest
    const longest = Math.max(...[...found.values(), ...sessions].map((s) => s.end_s - s.start_s), 1);
    for (const s of fresh) found.set(s.id, s);
    const first = rows.children.length;
    rows.append(...fresh.map((s) => nightRow(s, notes[s.id] ?? 0, longest, chosen.has(s.id), (on) => choose(s.id, on))));
    settle();
    if (!anew) rows.children[first]?.querySelector("a").focus(); // where one goes on reading
    next = after;
    show(more, Boolean(after));
    put(more, `Show more, ${whole(Math.max(total - found.size, 1))} left`);
    const text = counted(total, "night");
    put(count, text);
    if (anew) say(text);
    drawNone(total);
    drawChoice();
  }
  function drawNone(total) {
    show(none, total === 0);
    show(table.parentElement, total > 0);
    if (total > 0) return;
    clear(none).append(...(form.empty()
      ? [el("p", { class: "lead" }, "No night has been recorded yet."), el("p", {}, "As soon as a charge begins on one of the channels it stands here, and stays.")]
      : [el("p", { class: "lead" }, "No night fits this search."), el("p", {}, el("button", { type: "button", onclick: () => { form.clear(); search(); } }, "Show all nights"))]));
  }
  function choose(id, on) {
    if (on) chosen.add(id);
    else chosen.delete(id);
    drawChoice();
  }
  function drawChoice() {
    for (const box of rows.querySelectorAll("input")) {
      box.checked = chosen.has(box.value);
      box.disabled = !box.checked && chosen.size >= mostOver;
    }
    show(choice, chosen.size > 0);
    put(choice.firstElementChild, chosen.size === 1 ? "1 night chosen; choose another to compare" : `${chosen.size} nights chosen${chosen.size >= mostOver ? ", as many as can be told apart" : ""}`);
    show(over, chosen.size > 1);
    over.href = address("nights", [...chosen]);
  }

  drawOrder();
  fetchPage(null);
  return {
    close() {
      clearTimeout(timer);
      asking?.abort();
    },
  };
}

// dayStart is when a day begins where the browser is, or the day so many after it.
function dayStart(text, later) {
  if (!text) return "";
  const [y, m, d] = text.split("-").map(Number);
  return new Date(y, m - 1, d + later).toISOString();
}

// searchForm has the fields of a search; changed is called when one is.
function searchForm(query, changed) {
  const field = (name, label, input) => {
    input.id = `search-${name}`;
    input.name = name;
    input.value = query.get(name) ?? "";
    input.addEventListener("input", changed);
    return el("div", { class: "field" }, el("label", { for: input.id }, label), input);
  };
  const battery = el("select", {}, el("option", { value: "" }, "all"));
  const inputs = {
    text: el("input", { type: "search", autocomplete: "off", placeholder: "battery, finding, note \u2026" }), battery,
    outcome: el("select", {}, el("option", { value: "" }, "all"), Object.entries(outcomes).map(([value, name]) => el("option", { value }, name))),
    since: el("input", { type: "date" }), until: el("input", { type: "date" }),
  };
  const labels = { text: "Words", battery: "Battery", outcome: "Outcome", since: "From", until: "To" };
  const root = el("form", { class: "search", role: "search", "aria-label": "Nights", onsubmit: (e) => e.preventDefault() },
    Object.entries(inputs).map(([name, input]) => field(name, labels[name], input)));
  let sort = query.get("sort") ?? "";
  get(path`batteries`).then(({ batteries }) => {
    battery.append(...batteries.map((b) => el("option", { value: b.name }, b.name)));
    battery.value = query.get("battery") ?? "";
  }).catch(() => {}); // one can still search by words
  return {
    root,
    values: () => ({ ...Object.fromEntries(Object.entries(inputs).map(([name, input]) => [name, input.value.trim()])), battery: battery.value || (query.get("battery") ?? ""), sort }),
    sort: (value) => { sort = value; },
    empty: () => Object.values(inputs).every((i) => !i.value.trim()),
    clear: () => { query.delete("battery"); for (const i of Object.values(inputs)) i.value = ""; },
  };
}
