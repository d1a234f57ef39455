// The numbers of a channel that one wants to read across a garage.

import { el, put, show } from "../lib/dom.js";
import { volts, amps, celsius, within, places, fixed, known, whole } from "../lib/number.js";
import { duration } from "../lib/when.js";

export function figures() {
  const root = el("dl", { class: "readings" }), slots = {};
  for (const [key, name, unit] of [["volts", "Voltage", "V"], ["amps", "Current", "A"], ["celsius", "Temperature", "\u00b0C"], ["charge", "Went in", "Ah"]]) {
    const value = el("span", { class: "value" }), doubt = el("span", { class: "doubt" });
    const box = el("div", { class: `reading ${key}` }, el("dt", {}, name), el("dd", {}, value, el("span", { class: "unit" }, `\u202f${unit}`), doubt));
    slots[key] = { box, value, doubt };
    root.append(box);
  }
  const set = (key, text, doubt = "") => {
    show(slots[key].box, text !== "");
    put(slots[key].value, text);
    put(slots[key].doubt, doubt);
  };
  return {
    root,
    draw(last, session, stale) {
      root.toggleAttribute("data-stale", stale);
      set("volts", volts(last?.volts));
      set("amps", amps(last?.amps));
      set("celsius", known(last?.celsius) ? celsius(last.celsius) : "");
      const charged = session && session.outcome !== "no-charge" && known(session.charge_in_ah);
      const doubt = session?.charge_in_ah_u95;
      set("charge", charged ? fixed(session.charge_in_ah, places(doubt)) : "", charged && known(doubt) ? `\u00b1\u202f${fixed(doubt, places(doubt))}` : "");
    },
  };
}

// facts are the smaller ones, [name, value] each; what is not known is left out.
export function facts(session, now) {
  if (!session || session.outcome === "no-charge") return [];
  const running = session.outcome === "running";
  const until = running && known(now) ? now : session.end_s;
  const share = session.capacity?.absorbed_fraction;
  return [
    [running ? "Charging for" : "Charged for", known(until) ? duration(until - session.start_s) : ""],
    ["Energy in", known(session.energy_in_wh) ? `${whole(session.energy_in_wh)}\u00a0Wh` : ""],
    ["Of the capacity", known(share) ? `${whole(100 * share)}\u00a0%` : ""],
    ["Set current", known(session.set_a) ? `${amps(session.set_a)}\u00a0A` : ""],
    ["Held at", known(session.held_v) ? `${volts(session.held_v)}\u00a0V` : ""],
    ["Warmest", known(session.max_celsius) ? `${celsius(session.max_celsius)}\u00a0\u00b0C` : ""],
    ["Expected in all", running && known(session.forecast?.charge_in_ah) ? `${fixed(session.forecast.charge_in_ah, 1)}\u00a0Ah` : ""],
    ["Settles at", known(session.rest?.settled_v) ? `${within(session.rest.settled_v, session.rest.settled_v_u95)}\u00a0V` : ""],
  ].filter(([, value]) => value !== "");
}

// pairs writes names and values as a list of definitions.
export function pairs(list) {
  return list.map(([name, value, note]) => el("div", {}, el("dt", {}, name), el("dd", {}, value, note && el("small", {}, ` ${note}`))));
}
