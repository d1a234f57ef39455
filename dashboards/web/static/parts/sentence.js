// The one sentence with which a channel or a night begins: what matters, in plain
// words, to be read from across the room. Its kind is that of a mark.

import { amps, volts, within, known } from "../lib/number.js";
import { holding } from "../lib/findings.js";
import { at, duration } from "../lib/when.js";
import { endings, kinds } from "../lib/words.js";

// standing says how long ago the last reading was taken, in s, and whether that is too
// long. since is how long ago, in s, the channel was told of; live is whether the server
// can be heard.
export function standing(channel, since, live) {
  const last = channel.last_reading;
  const age = last ? last.age_s + since : null;
  return { last, age, stale: !live || age === null || age > channel.silence_s };
}

// ofChannel is the sentence of a channel: { text, kind, code }, the code being that of
// the finding whose meaning it gives in full.
export function ofChannel(channel, { last, age, stale }, live, meaning) {
  const s = channel.session, found = holding(s);
  const alarm = found.findLast((f) => f.severity === "alarm"), warning = found.findLast((f) => f.severity === "warning");
  if (alarm) return { text: meaning(alarm.code) || alarm.message, kind: "alarm", code: alarm.code };
  if (!last) return { text: `Nothing heard yet from ${channel.source.name}.`, kind: "" };
  if (stale && live) return { text: silent(channel, age), kind: "warning" };
  const odd = warning && meaning(warning.code).match(/^.*?[.?!](?= |$)/)?.[0]; // its first sentence
  if (odd) return { text: `${odd} Now ${amps(last.amps)}\u00a0A at ${volts(last.volts)}\u00a0V.`, kind: "warning" };
  return { text: inCourse(channel, last), kind: starts(channel, last) ? "running" : kinds[s?.outcome] ?? "" };
}

function silent(channel, age) {
  const since = `No reading for ${duration(age)}`;
  return channel.source.up ? `${since}: the source is there, but nothing that can be read comes from it.` : `${since}: ${channel.source.state}.`;
}

// starts tells whether current flows in that is not surely a charge's yet.
export const starts = ({ starting }, last) => Boolean(starting) && last.amps > 0;

const giving = -0.01; // A; less is the meter's own unrest

// inCourse says how the charge goes.
function inCourse(channel, last) {
  const s = channel.session, v = `${volts(last.volts)}\u00a0V`, a = `${amps(last.amps)}\u00a0A`;
  if (starts(channel, last)) return `Current flows, ${a} at ${v}. Too early to say which stage it is.`;
  if (!s || s.outcome === "no-charge") return last.amps < giving ? `Giving ${amps(-last.amps)}\u00a0A at ${v}.` : `Not charging. The battery stands at ${v}.`;
  switch (channel.stage) {
    case "constant-current": return `Filling with ${a}, ${v} and rising. ${done(s)}`;
    case "constant-voltage": return `Held at ${v}, current falling. ${done(s)}`;
    case "finish": return `${full(s)} Kept topped up at ${v}.`;
    case "rest": return resting(s, v);
  }
  return s.outcome === "running" ? `Charging with ${a} at ${v}. ${done(s)}` : ofNight(s).text;
}

// done is when the charge will be done, with its interval of 95 %.
function done(s) {
  const f = s.forecast;
  if (!known(f?.finish_s)) return "Too early to say when it will be done.";
  const doubt = f.finish_s_u95;
  const about = `Done about ${at(s, f.finish_s)}`;
  return known(doubt) && doubt >= 60 ? `${about}, between ${at(s, f.finish_s - doubt)} and ${at(s, f.finish_s + doubt)}.` : `${about}.`;
}

function full(s) { return known(s.finish_s) ? `Full since ${at(s, s.finish_s)}.` : "Nearly full."; }

function resting(s, v) {
  const settles = known(s.rest?.settled_v) ? ` Settling towards ${within(s.rest.settled_v, s.rest.settled_v_u95)}\u00a0V.` : ` It stands at ${v}.`;
  return ofNight(s).text + settles;
}

// ofNight is the sentence of a charge that is over, or goes on.
export function ofNight(s) {
  const went = `${within(s.charge_in_ah, s.charge_in_ah_u95)}\u00a0Ah went in`;
  switch (s.outcome) {
    case "complete": return { kind: "good", text: `Full at ${at(s, s.finish_s)} after ${duration(s.finish_s - s.start_s)}: ${went}.` };
    case "cut-short": return { kind: "warning", text: `Stopped before it was full, at ${at(s, s.end_s)}: ${went}.` };
    case "faulted": return { kind: "alarm", text: `Ended by an alarm at ${at(s, s.end_s)}: ${went}.` };
    case "running": return { kind: "running", text: `Still charging: ${went} so far.` };
  }
  return { kind: "", text: "Nothing to speak of flowed." };
}

// ended is by what a charge ended, as half a sentence; empty where nothing did.
export const ended = (s) => s.outcome === "running" || s.outcome === "no-charge" ? "" : endings[s.ended_by] ?? "";
