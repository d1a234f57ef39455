// What people wrote beside a night, and a place to write more.

import { el, clear, put, show } from "../lib/dom.js";
import { get, post, path } from "../lib/api.js";
import { say } from "../lib/say.js";
import { sentence } from "../lib/text.js";
import { dateTime } from "../lib/when.js";

export function notes(id) {
  const list = el("ul", { class: "notes stack tight" }), none = el("p", { class: "quiet" }, "Nobody has written anything beside this night.");
  const text = el("textarea", { id: "note", name: "text", required: true, maxlength: 2000 }), wrong = el("p", { class: "wrong", id: "note-wrong", hidden: true });
  const form = el("form", { class: "stack screen-only", onsubmit: add, novalidate: true },
    el("div", { class: "field" }, el("label", { for: "note" }, "Add a note"), text, wrong), el("div", { class: "row" }, el("button", { class: "main" }, "Add")));

  function draw(all) {
    clear(list).append(...all.map((n) => el("li", { class: "note" }, el("p", { class: "written" }, n.text), el("small", { class: "quiet" }, dateTime(Date.parse(n.at))))));
    show(none, all.length === 0);
  }
  function complain(message) {
    put(wrong, message);
    show(wrong, message !== "");
    if (!message) {
      text.removeAttribute("aria-invalid");
      text.removeAttribute("aria-describedby");
      return;
    }
    text.setAttribute("aria-invalid", "true");
    text.setAttribute("aria-describedby", "note-wrong");
    text.focus();
  }
  async function fetchAll() { draw((await get(path`sessions/${id}/notes`)).notes); }
  async function add(e) {
    e.preventDefault();
    if (!text.value.trim()) { complain("Write something first."); return; }
    try {
      await post(path`sessions/${id}/notes`, { text: text.value.trim() });
      text.value = "";
      complain("");
      await fetchAll();
      say("Note added.");
    } catch (error) {
      complain(sentence(error.message));
    }
  }
  fetchAll().catch((e) => put(none, `Notes cannot be fetched: ${e.message}`));
  return el("section", { class: "card stack" }, el("h2", {}, "Notes"), none, list, form);
}
