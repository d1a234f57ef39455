// What happens now, channel by channel.

import { el } from "../lib/dom.js";
import { all, subscribe } from "../lib/store.js";
import { stages } from "../lib/words.js";
import { volts, amps } from "../lib/number.js";

export function open(root) {
  const list = el("ul");
  root.append(el("h1", {}, "Now"), list);
  const draw = () => list.replaceChildren(...all().map(({ state }) => el("li", {},
    `${state.name}: ${stages[state.stage] ?? ""} ${volts(state.last_reading?.volts)} V, ${amps(state.last_reading?.amps)} A`)));
  draw();
  return { close: subscribe(draw) };
}
