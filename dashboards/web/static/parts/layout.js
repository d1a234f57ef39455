// What the last lines of a channel look like to somebody who is told nothing: a
// proposal for its decoder, with the evidence.

import { el } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { percent } from "../lib/number.js";
import { copyButton } from "../lib/copy.js";
import { say } from "../lib/say.js";
import { counted } from "../lib/text.js";

export function layout(name) {
  const asked = new AbortController();
  const answer = el("div", { class: "stack" });
  const ask = el("button", { type: "button", onclick: look }, "How are these lines laid out?");
  const root = el("section", { class: "card stack", "aria-labelledby": "layout" }, el("h2", { id: "layout" }, "The decoder"),
    el("p", { class: "quiet" }, "amphora can tell from the last lines how they are laid out, and gives the setting to copy."),
    el("div", { class: "screen-only" }, ask), answer);

  async function look() {
    ask.disabled = true;
    try {
      const { proposals } = await get(path`channels/${name}/layout`, {}, asked.signal);
      answer.replaceChildren(...proposals.length ? proposals.map(proposal) : [el("p", {}, "No line has come yet.")]);
      say(proposals.some((p) => p.layout) ? "There is a proposal." : "No layout was found.");
    } catch (error) {
      if (error.name !== "AbortError") answer.replaceChildren(el("p", { class: "note", "data-kind": "warning" }, error.message));
    } finally {
      ask.disabled = false;
    }
  }
  return { root, end: () => asked.abort() };
}

function proposal({ meter, lines, layout: l, why }) {
  const of = meter ? `The ${meter} meter: ` : "";
  if (!l) return el("p", { class: "note", "data-kind": "warning" }, `${of}${counted(lines, "line")} looked at, and ${why}.`);
  const setting = `decoder: '${l.setting.replaceAll("'", "''")}'`;
  return el("div", { class: "stack close" },
    el("p", {}, el("strong", {}, `${of}${l.layout}`), `, ${percent(l.confidence)} sure; ${percent(l.share)} of ${counted(lines, "line")} can be read so.`),
    el("ul", { class: "dots" }, l.evidence.map((text) => el("li", {}, text))),
    l.difference && el("p", { class: "quiet" }, `Next best: ${l.difference}.`),
    el("div", { class: "row" }, el("code", { class: "snippet", tabindex: "0" }, setting), copyButton("Copy the setting", () => setting)));
}
