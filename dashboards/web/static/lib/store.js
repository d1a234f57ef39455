// What is known of the channels right now, and who wants to hear of it.

const channels = new Map(); // by name, in the order of the configuration
const listeners = new Set();

// link is how the connection stands: "wait" at first, then "live" or "lost"; since
// is when it was last good, ms by the browser's clock, null if it never was.
export const link = { state: "wait", why: "", since: null };

// all is every channel, each { state, at }: what was said of it, and when that
// arrived, by performance.now().
export function all() { return [...channels.values()]; }

export function named(name) { return channels.get(name) ?? null; }

// subscribe calls listener(what, name) for every change: what is "channels",
// "channel" or "link". It returns the end of it.
export function subscribe(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function tell(...what) {
  for (const l of listeners) l(...what);
}

export function replaceAll(list) {
  channels.clear();
  for (const c of list) channels.set(c.name, { state: c, at: performance.now() });
  tell("channels");
}

export function replaceOne(c) {
  const fresh = !channels.has(c.name);
  channels.set(c.name, { state: c, at: performance.now() });
  tell(fresh ? "channels" : "channel", c.name);
}

// setLink takes how the connection stands; why is what a server says that refuses one.
export function setLink(state, why = "") {
  if (state === "live") link.since = Date.now();
  if (link.state === state && link.why === why) return;
  Object.assign(link, { state, why });
  tell("link");
}
