// The last raw lines of a channel as they come, each with what it was read as, or
// why not. They are fetched only while somebody looks.

import { el, put } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { volts, amps, celsius, known } from "../lib/number.js";

const every = 1000; // ms
const most = 64; // as many as amphora keeps
const timeForm = new Intl.DateTimeFormat(undefined, { hour: "2-digit", minute: "2-digit", second: "2-digit" });

const kinds = { "reading": "good", "refused": "warning", "passed-over": "none", "waiting": "none", "mark": "none" };
const said = { "opened": "The source was opened", "lost": "The source was lost", "remark": "Noted by amphora" };

export function rawLines(name) {
  const body = el("tbody"), state = el("p", { class: "quiet" }, "Waiting for the first line\u2026");
  const hold = el("button", { type: "button", "aria-pressed": "false", onclick: () => { held = !held; hold.setAttribute("aria-pressed", held); put(hold, held ? "Go on" : "Hold"); if (!held) look(); } }, "Hold");
  const root = el("section", { class: "card raw", "aria-labelledby": "raw" },
    el("div", { class: "row" }, el("h2", { id: "raw", class: "wide" }, "What comes in"), hold),
    state,
    el("div", { class: "table lines", tabindex: "0", role: "region", "aria-label": "The last lines" }, el("table", {},
      el("thead", {}, el("tr", {}, ["When", "Line", "Read as"].map((h) => el("th", { scope: "col" }, h)))), body)));
  let after = 0, heard = false, held = false, ended = false, timer = 0;
  const asked = new AbortController();

  async function look() {
    clearTimeout(timer);
    if (ended || held) return;
    if (!document.hidden) {
      try {
        const { lines } = await get(path`channels/${name}/lines`, { after: after || "" }, asked.signal);
        add(lines);
      } catch (error) {
        if (error.name === "AbortError") return;
        put(state, error.message);
        after = 0; // it may be another run of amphora that answers next
      }
    }
    if (!ended && !held) timer = setTimeout(look, every);
  }

  function add(lines) {
    if (after === 0) body.replaceChildren();
    for (const l of lines) body.prepend(row(l));
    heard ||= lines.some((l) => l.became !== "mark");
    while (body.children.length > most) body.lastElementChild.remove();
    if (lines.length) after = lines.at(-1).number;
    put(state, heard ? "The newest on top. A byte that cannot be shown stands as \\x and its number." : "Nothing has come yet. Is the device switched on, and does it send by itself?");
  }

  look();
  return { root, end: () => { ended = true; clearTimeout(timer); asked.abort(); } };
}

function row(l) {
  return el("tr", { "data-became": l.became },
    el("td", { class: "quiet when" }, timeForm.format(Date.parse(l.at))),
    el("td", {}, l.meter && el("small", { class: "quiet" }, `${l.meter} meter `), el("code", {}, l.text), l.bytes > 160 && el("small", { class: "quiet" }, ` \u2026 ${l.bytes} bytes in all`)),
    el("td", {}, el("span", { class: "mark", "data-kind": kinds[l.became] }, readAs(l))));
}

function readAs(l) {
  switch (l.became) {
    case "reading":
      return [known(l.volts) && `${volts(l.volts)} V`, known(l.amps) && `${amps(l.amps)} A`, known(l.celsius) && `${celsius(l.celsius)} \u00b0C`].filter(Boolean).join(", ") || "no value";
    case "refused": return `refused: ${l.why}`;
    case "passed-over": return `passed over: ${l.why}`;
    case "waiting": return "waits for a decoder that fits";
  }
  return said[l.why] ?? l.why;
}
