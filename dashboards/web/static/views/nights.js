// The charges that were recorded.

import { el } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { dateTime } from "../lib/when.js";
import { outcomes } from "../lib/words.js";

export function open(root) {
  const list = el("ul");
  root.append(el("h1", {}, "Nights"), list);
  get(path`sessions`).then(({ sessions }) => list.replaceChildren(...sessions.map((s) => el("li", {},
    `${s.started ? dateTime(Date.parse(s.started)) : s.id}: ${outcomes[s.outcome]}`))));
}
