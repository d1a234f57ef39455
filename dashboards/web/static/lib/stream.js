// The live stream of the server: server-sent events, which a browser takes up again
// by itself after most failures. After a refusal, and when a dead connection keeps
// quiet, it does not, so somebody watches.
//
// A page that nobody sees gives its stream back, for a browser opens no more than six
// connections to a server, and the server no more than a few streams to an address.

import { replaceAll, replaceOne, setLink } from "./store.js";

const patience = 35_000; // ms; a healthy stream says something every 15 s
const pause = 3_000; // ms between two tries where the browser has given up

let stream = null;
let heard = 0;

export function connect() {
  open();
  setInterval(watch, 1000);
  document.addEventListener("visibilitychange", open);
  window.addEventListener("online", open);
}

function open() {
  stream?.close();
  if (document.hidden) {
    setLink("wait");
    return;
  }
  heard = performance.now();
  stream = new EventSource("api/v1/live");
  const on = (kind, act) => stream.addEventListener(kind, (e) => {
    heard = performance.now();
    setLink("live");
    act(JSON.parse(e.data));
  });
  on("channels", replaceAll);
  on("channel", replaceOne);
  on("heartbeat", () => {});
  stream.addEventListener("error", async () => {
    setLink("lost", stream.readyState === EventSource.CLOSED ? await refusal() : "");
  });
}

// A stream does not say why it was refused, as when too many pages are open; an answer to
// the same question does. It is "" where none comes, or none is refused any more.
async function refusal() {
  const enough = new AbortController();
  try {
    const answer = await fetch("api/v1/live", { signal: enough.signal });
    return answer.ok ? "" : (await answer.json()).detail;
  } catch {
    return "";
  } finally {
    enough.abort();
  }
}

function watch() {
  if (document.hidden) return;
  const silent = performance.now() - heard;
  if (silent > patience) setLink("lost", "");
  if (silent > patience || (stream.readyState === EventSource.CLOSED && silent > pause)) open();
}
