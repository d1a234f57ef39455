// How the source of a channel is: one line, and on request all of it.

import { el, put, show } from "../lib/dom.js";
import { whole } from "../lib/number.js";
import { counted } from "../lib/text.js";
import { clock, duration } from "../lib/when.js";
import { refusedFor } from "./intake.js";

export function health() {
  const line = el("span", { class: "mark" }), detail = el("dl", { class: "pairs" });
  const hint = el("p", { class: "note", "data-kind": "warning", hidden: true });
  const root = el("details", { class: "health" }, el("summary", {}, line), detail);
  const slots = new Map();
  const fact = (name, text) => {
    if (!slots.has(name)) {
      const dd = el("dd"), box = el("div", {}, el("dt", {}, name), dd);
      detail.append(box);
      slots.set(name, { box, dd });
    }
    const slot = slots.get(name);
    show(slot.box, text !== "");
    put(slot.dd, text);
  };
  return {
    root: el("div", { class: "stack tight" }, hint, root),
    draw(channel, since) {
      const { source, journal } = channel;
      const odd = troubles(channel);
      line.dataset.kind = odd.length ? "warning" : source.lines ? "good" : "";
      put(line, odd.join(". ") || (source.lines ? "Source delivers" : "Source is open, no line has come yet"));
      show(hint, Boolean(source.hint));
      put(hint, source.hint ?? "");
      fact("Source", source.name);
      fact("State", source.since ? `${source.state}, since ${clock(Date.parse(source.since))}` : source.state);
      fact("Last line", source.last_line_at ? `${clock(Date.parse(source.last_line_at))}${lastLine(channel, since)}` : "none yet");
      fact("Lines", `${whole(source.lines)}, of which ${whole(channel.used)} gave a reading`);
      fact("Reconnected", source.reconnects ? counted(source.reconnects, "time") : "never");
      fact("Not used", refused(channel));
      fact("Read as", channel.decoder ?? "not known yet");
      const pending = journal.pending ? `, ${counted(journal.pending, "line")} waiting` : "";
      const lost = journal.lost ? `, ${counted(journal.lost, "line")} given up for want of room` : "";
      fact("Raw record", (journal.degraded ? `in memory only: ${journal.degraded}` : `on disk, ${kilobytes(journal.bytes)}`) + pending + lost);
    },
  };
}

function lastLine(channel, since) {
  const age = channel.last_reading ? channel.last_reading.age_s + since : null;
  return age !== null && age > channel.silence_s ? `, ${duration(age)} ago` : "";
}

// troubles are what is odd, none of which hides another.
function troubles({ source, journal, untold, clock_set: set }) {
  return [
    !source.up && `Source: ${source.state || "not there"}`,
    source.up && source.warning,
    journal.degraded && `Not written to disk: ${journal.degraded}`,
    untold && `${counted(untold.messages, "message")} could not be delivered: ${untold.why ?? "on the way"}`,
    !set && "The clock of amphora's computer is not set",
  ].filter(Boolean);
}

function refused(channel) {
  const all = refusedFor(channel);
  return all.length ? all.map(([reason, n]) => `${whole(n)} ${reason}`).join("; ") : "nothing";
}

const kilobytes = (bytes) => bytes < 1e6 ? `${whole(bytes / 1000)} kB` : `${whole(bytes / 1e6)} MB`;
