// The serial ports of the machine that amphora runs on.

import { el } from "../lib/dom.js";
import { table } from "../lib/table.js";

export function ports(all) {
  if (all.length === 0) return [el("p", {}, "There is no serial port here. Plug the adapter in and look again.")];
  const denied = all.filter((p) => p.advice);
  return [
    el("p", { class: "quiet" }, "Use the first name in the configuration: it stays the same wherever the adapter is plugged in."),
    table("The ports, one a row", ["Name to use", "Now", "What it is", "Held by", "May be opened"], all.map((p) => el("tr", {},
      el("th", { scope: "row" }, el("code", {}, p.name)),
      el("td", { "data-name": "Now" }, p.device === p.name ? "the same" : el("code", {}, p.device)),
      el("td", { "data-name": "What it is" }, p.usb?.text ? `${p.kind}: ${p.usb.text}` : p.kind),
      el("td", { "data-name": "Held by" }, p.holders.map((h) => `${h.command} (${h.pid})`).join(", ") || "nobody"),
      el("td", { "data-name": "May be opened" }, p.allowed ? "yes" : el("span", { class: "mark", "data-kind": "warning" }, "no")))), "stacked"),
    ...denied.map((p) => el("p", { class: "note", "data-kind": "warning" }, el("strong", {}, `${p.device}: `), p.advice)),
  ];
}
