// Setting what a channel warns of. This is word for amphora alone: no charger
// hears of it.

import { el, put, show } from "../lib/dom.js";
import { all } from "../lib/store.js";
import { post, path } from "../lib/api.js";
import { form, short } from "../lib/form.js";
import { say } from "../lib/say.js";
import { listed } from "../lib/text.js";
import { known } from "../lib/number.js";
import { dateTime } from "../lib/when.js";

// inWords says what a channel warns of.
function inWords(l) {
  const parts = [known(l.hours) && `after ${short(l.hours)} h`, known(l.charge_ah) && `beyond ${short(l.charge_ah, 6)} Ah`,
    known(l.celsius) && `above ${short(l.celsius)} \u00b0C`, known(l.volts) && `above ${short(l.volts, 4)} V`].filter(Boolean);
  return parts.length ? `It warns ${listed(parts)}, besides what it notices by itself.` : "No limits are set: it warns of what it notices by itself.";
}

// limitsNow says what holds on a channel, and lets what was set here be taken back.
export function limitsNow(channel) {
  const words = el("p", {}), back = el("button", { type: "button", onclick: () => takeBack(channel.name, tell) }, "Take back, as configured");
  const wrong = el("p", { class: "note", "data-kind": "alarm", role: "alert", hidden: true });
  function tell(limits, error) {
    show(wrong, Boolean(error));
    if (error) put(wrong, error.message);
    else {
      put(words, `${inWords(limits)}${limits.set_at ? ` Set here on ${dateTime(Date.parse(limits.set_at))}.` : ""}`);
      show(back, Boolean(limits.set_at));
    }
  }
  tell(channel.limits);
  return Object.assign(el("div", { class: "stack close" }, words, wrong, el("div", { class: "screen-only" }, back)), { tell });
}

async function takeBack(name, tell) {
  try {
    tell(await post(path`channels/${name}/limits`, {}));
    say(`${name} warns as configured again.`);
  } catch (error) {
    tell(null, error);
  }
}

export function applyLimits(limits) {
  const channels = all().map((c) => c.state);
  if (channels.length === 0) return el("p", { class: "quiet" }, "There is no channel that these limits could be set on right away.");
  const done = el("div", { class: "done" });
  const sheet = form({
    parts: [[{ name: "channel", label: "Or right away, on the channel", kind: "choice", value: channels[0].name, choices: channels.map((c) => [c.name, c.battery ? `${c.name} (${c.battery})` : c.name]) }]],
    button: "Warn by this plan",
    act: async ({ channel }) => {
      const now = await post(path`channels/${channel}/limits`, limits);
      done.replaceChildren(el("p", {}, el("strong", {}, `Set on ${channel}.`)), limitsNow({ name: channel, limits: now }));
      say(`Set on ${channel}.`);
    },
  });
  return el("div", { class: "stack screen-only" }, sheet,
    el("p", { class: "quiet" }, "It holds from now on, through a restart too, until you take it back or change the limits in amphora.yaml. amphora only warns by it: nothing is set on the charger, and nothing stops."), done);
}
