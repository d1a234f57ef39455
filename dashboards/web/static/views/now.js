// What happens now, channel by channel.

import { el, show } from "../lib/dom.js";
import { all, link, named, subscribe } from "../lib/store.js";
import { fetchMeanings } from "../lib/meanings.js";
import { channelPanel } from "../parts/channel.js";

const second = 1000; // ms

export function open(root) {
  const panels = new Map();
  const list = el("div", { class: "channels" });
  const none = el("div", { class: "card stack" },
    el("p", { class: "lead" }, "amphora listens to nothing yet."),
    el("p", {}, "It has just been started; or no channel is in its configuration, for which ", el("a", { href: "#/setup" }, "Setup"), " shows what is plugged in."));
  root.append(el("h1", { class: "unseen" }, "Now"), none, list);

  // Nothing is said of channels before amphora has said what there is.
  const empty = () => show(none, all().length === 0 && link.state === "live");

  function arrange() {
    const there = all();
    for (const [name, panel] of panels) {
      if (named(name)) continue;
      panel.close();
      panel.root.remove();
      panels.delete(name);
    }
    for (const entry of there) {
      const panel = panels.get(entry.state.name);
      if (panel) {
        panel.forget();
        panel.update(entry);
      } else {
        const fresh = channelPanel(entry);
        panels.set(entry.state.name, fresh);
        list.append(fresh.root);
      }
    }
    empty();
    list.dataset.count = there.length;
  }
  const draw = () => panels.forEach((p) => p.draw());
  const end = subscribe((what, name) => {
    if (what === "channels") arrange();
    else if (what === "channel") panels.get(name)?.update(named(name));
    else if (what === "link") { draw(); empty(); }
  });
  const clock = setInterval(draw, second);
  fetchMeanings().then(draw);
  arrange();
  return {
    close() {
      end();
      clearInterval(clock);
      panels.forEach((p) => p.close());
    },
  };
}
