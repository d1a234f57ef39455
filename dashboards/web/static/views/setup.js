// Setting a channel up: what ports there are, what comes in, and what it is read as.

import { el, clear } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { all, named, subscribe } from "../lib/store.js";
import { address } from "../lib/router.js";
import { ports } from "../parts/ports.js";
import { rawLines } from "../parts/rawlines.js";
import { refusals, source } from "../parts/intake.js";
import { layout } from "../parts/layout.js";
import { limitsNow } from "../parts/applylimits.js";

export function open(root, route) {
  const asked = new AbortController();
  const plugs = el("section", { class: "card stack", "aria-labelledby": "ports" }, el("h2", { id: "ports" }, "Serial ports"), el("p", { class: "quiet" }, "Looking\u2026"));
  const place = el("div", { class: "stack" });
  root.append(el("h1", {}, "Setup"), place, plugs);
  listPorts(plugs, asked.signal);

  let shown = null; // { name, end }
  function draw() {
    const names = all().map((c) => c.state.name);
    const name = names.includes(route.parts[0]) ? route.parts[0] : names[0];
    if (shown?.name === name) return;
    shown?.end();
    clear(place);
    shown = name === undefined ? waiting(place) : showChannel(place, name, names);
  }
  draw();
  const stop = subscribe((what) => { if (what === "channels") draw(); });
  return { close: () => { stop(); shown?.end(); asked.abort(); } };
}

function waiting(place) {
  place.append(el("p", { class: "lead" }, "No channel is known yet."),
    el("p", { class: "quiet" }, "Channels stand in the configuration, amphora.yaml; amphora check --example writes one to begin with."));
  return { name: undefined, end: () => {} };
}

async function listPorts(section, signal) {
  const again = el("button", { type: "button", onclick: () => listPorts(section, signal) }, "Look again");
  const heading = section.firstElementChild;
  try {
    const told = await get(path`ports`, {}, signal);
    section.replaceChildren(heading, ...ports(told.ports), el("p", { class: "screen-only" }, again));
  } catch (error) {
    if (error.name === "AbortError") return;
    section.replaceChildren(heading, el("p", {}, `The ports cannot be listed: ${error.message}`), again);
  }
}

function showChannel(place, name, names) {
  const parts = [source(name), rawLines(name), refusals(name), layout(name)];
  const state = named(name).state;
  const limits = limitsNow(state);
  if (names.length > 1) {
    place.append(el("nav", { class: "row which", "aria-label": "Channels" },
      names.map((n) => el("a", { class: "button", href: address("setup", [n]), "aria-current": n === name ? "true" : null }, n))));
  }
  const [from, lines, refused, laidOut] = parts;
  place.append(from.root, lines.root, el("div", { class: "side-by-side" }, laidOut.root,
    el("div", { class: "stack" }, refused.root, el("section", { class: "card stack close" }, el("h2", {}, "What it warns of"), limits))));
  const tell = () => {
    const c = named(name)?.state;
    if (!c) return;
    for (const p of parts) p.tell?.(c);
    limits.tell(c.limits);
  };
  tell();
  const stop = subscribe((what, channel) => { if (what === "channels" || channel === name) tell(); });
  return { name, end: () => { stop(); for (const p of parts) p.end?.(); } };
}
