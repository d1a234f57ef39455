// Says in the frame how the connection stands, and aloud when it changes.

import { link, subscribe } from "./store.js";
import { put, show } from "./dom.js";
import { say } from "./say.js";
import { clock } from "./when.js";

const words = { wait: "connecting", live: "live", lost: "no connection" };

export function showLink() {
  const word = document.getElementById("link"), away = document.getElementById("away");
  let before = link.state;
  subscribe((what) => {
    if (what !== "link") return;
    word.dataset.state = link.state;
    put(word, words[link.state]);
    document.body.dataset.link = link.state;
    show(away, link.state === "lost");
    if (link.state === "lost") {
      const what = link.why ? `amphora shows nothing live here: ${link.why}.` : "amphora does not answer.";
      const stands = link.since === null ? "The" : `What stands here is from ${clock(link.since)}; the`;
      put(away, `${what} ${stands} page goes on by itself as soon as amphora ${link.why ? "can" : "is back"}.`);
      if (before !== "lost") say("No connection to amphora.");
    } else if (before === "lost") {
      say("Connected to amphora again.");
    }
    before = link.state;
  });
}
