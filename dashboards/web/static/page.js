// The page shows what the stream of live events says. All text goes in through
// textContent: what a source sends is never taken for markup.

const stages = [
  ["idle", "Waiting"],
  ["constant-current", "Constant current"],
  ["constant-voltage", "Constant voltage"],
  ["finish", "Finishing"],
  ["rest", "Resting"],
];

const outcomes = {
  "running": "Charging",
  "complete": "Charged",
  "cut-short": "Stopped early",
  "no-charge": "Not charging",
  "faulted": "Ended by an alarm",
};

const severities = { note: "Note", warning: "Warning", alarm: "Alarm" };

const find = (id) => document.getElementById(id);
const cards = new Map(); // by channel
const page = { heard: performance.now(), up: false };

// --- words -------------------------------------------------------------------

const known = (x) => typeof x === "number";

// A true minus sign, but none before a zero; a dash for what is not known.
function fixed(x, places) {
  if (!known(x)) return "\u2013";
  const text = x.toFixed(places);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "\u2212");
}

function duration(s) {
  if (s < 60) return `${Math.round(s)} s`;
  const minutes = Math.round(s / 60);
  if (minutes < 60) return `${minutes} min`;
  if (minutes < 48 * 60) return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")} min`;
  return `${Math.floor(minutes / 1440)} days ${Math.floor(minutes / 60) % 24} h`;
}

// The uncertainty, to one digit, or two if it begins with a 1, says how many
// digits of the value are worth reading.
function withDoubt(x, doubt, unit) {
  if (!known(x)) return "";
  const places = doubt > 0 ? Math.min(3, Math.max(0, Math.ceil(-Math.log10(doubt / 2)))) : 2;
  return known(doubt) ? `${fixed(x, places)} \u00b1 ${fixed(doubt, places)} ${unit}` : `${fixed(x, places)} ${unit}`;
}

function clock(secondsFromNow) {
  const at = new Date(Date.now() + secondsFromNow * 1000);
  const day = at.toDateString() === new Date().toDateString() ? "" : at.toLocaleDateString("en-GB", { weekday: "short" }) + " ";
  return day + at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

// --- one channel ---------------------------------------------------------------

function newCard(name) {
  const root = find("card").content.firstElementChild.cloneNode(true);
  const card = { root, slots: {}, facts: {}, lists: {}, state: null, at: 0 };
  for (const e of root.querySelectorAll("[data-show]")) card.slots[e.dataset.show] = e;
  for (const e of root.querySelectorAll("[data-fact]")) card.facts[e.dataset.fact] = e;
  for (const e of root.querySelectorAll("[data-list]")) card.lists[e.dataset.list] = e;
  for (const [stage, words] of stages) {
    const li = document.createElement("li");
    li.dataset.stage = stage;
    li.textContent = words;
    card.lists.stages.append(li);
  }
  root.setAttribute("aria-label", `Channel ${name}`);
  return card;
}

function put(card, slot, text) {
  const e = card.slots[slot];
  if (e.textContent !== text) e.textContent = text;
  if (card.facts[slot]) card.facts[slot].hidden = text === "";
}

// show writes what does not depend on the time of day; tick does the rest.
function show(card, channel) {
  const before = card.state;
  card.state = channel;
  card.at = performance.now();
  const { session } = channel;
  const holding = (session?.findings ?? []).filter((f) => f.end_s === null);

  put(card, "name", channel.name);
  put(card, "battery", channel.battery ?? "");
  card.verdict = verdict(session, holding);
  put(card, "charge", withDoubt(session?.charge_in_ah, session?.charge_in_ah_u95, "Ah"));
  put(card, "energy", known(session?.energy_in_wh) ? `${fixed(session.energy_in_wh, 0)} Wh` : "");
  put(card, "rest", withDoubt(session?.rest?.settled_v, session?.rest?.settled_v_u95, "V"));
  put(card, "why", channel.stage_why ?? "");
  card.slots.why.hidden = !channel.stage_why;
  showStages(card, channel);
  showFindings(card, holding);
  showSource(card, channel);
  tick(card);
  if (before) tell(before, channel, holding);
}

// verdict is the one thing to read from across the room.
function verdict(session, holding) {
  const outcome = outcomes[session?.outcome] ?? "Not charging";
  const worst = ["alarm", "warning"].find((s) => holding.some((f) => f.severity === s));
  return worst ? `${severities[worst]} \u2013 ${outcome.toLowerCase()}` : outcome;
}

function showStages(card, channel) {
  const now = stages.findIndex(([stage]) => stage === channel.stage);
  for (const [i, li] of [...card.lists.stages.children].entries()) {
    li.dataset.is = i === now ? "now" : i < now ? "past" : "ahead";
    if (i === now) li.setAttribute("aria-current", "step");
    else li.removeAttribute("aria-current");
  }
}

function showFindings(card, holding) {
  const order = ["alarm", "warning", "note"];
  holding.sort((a, b) => order.indexOf(a.severity) - order.indexOf(b.severity));
  card.root.dataset.worst = holding[0]?.severity ?? "none";
  card.lists.findings.closest("section").hidden = holding.length === 0;
  const text = JSON.stringify(holding);
  if (card.findings === text) return; // a screen reader would lose its place
  card.findings = text;
  card.lists.findings.replaceChildren(...holding.map((f) => {
    const li = document.createElement("li"), what = document.createElement("p"), word = document.createElement("b");
    li.dataset.severity = f.severity;
    word.textContent = `${severities[f.severity] ?? f.severity}: `;
    what.append(word, f.message);
    li.append(what);
    return li;
  }));
}

function showSource(card, channel) {
  const { source, journal } = channel;
  const refused = Object.entries(channel.rejected_by_reason ?? {}).sort((a, b) => b[1] - a[1]);
  const odd = source.warning ?? (journal.degraded ? `not written to disk: ${journal.degraded}` : null)
    ?? (channel.untold ? `nobody could be told: ${channel.untold.why ?? "a message is on its way"}` : null)
    ?? (channel.clock_set ? null : "the clock of this computer is not set");
  card.root.dataset.source = !source.up ? "down" : odd ? "odd" : "up";
  const state = source.up ? odd ?? "Source is delivering" : `Source: ${source.state || "not there"}`;
  put(card, "source", source.hint ? `${state}; ${source.hint}` : state);
  put(card, "port", source.name);
  const again = source.reconnects ? `, came back ${source.reconnects === 1 ? "once" : `${source.reconnects} times`}` : "";
  put(card, "lines", `${source.lines.toLocaleString("en")} received, ${channel.used.toLocaleString("en")} readings used${again}`);
  put(card, "rejected", refused.map(([reason, n]) => `${n.toLocaleString("en")} ${reason}`).join(", "));
  put(card, "decoder", channel.decoder ?? "");
  const pending = journal.pending ? `, ${journal.pending.toLocaleString("en")} lines waiting` : "";
  put(card, "journal", journal.degraded ? `in memory only: ${journal.degraded}${pending}` : `on disk${pending}`);
}

// tick writes what changes as time passes.
function tick(card) {
  const channel = card.state, session = channel.session, last = channel.last_reading;
  const since = (performance.now() - card.at) / 1000;
  const age = last ? last.age_s + since : null;
  const stale = !page.up || age === null || age > channel.silence_s;
  card.root.toggleAttribute("data-stale", stale);
  put(card, "verdict", stale && card.root.dataset.worst !== "alarm" ? "No reading" : card.verdict);
  put(card, "age", age === null ? "No reading yet" : `No reading now. The last one is ${duration(age)} old:`);
  put(card, "volts", fixed(last?.volts, Math.abs(last?.volts) < 9.9995 ? 3 : 2));
  put(card, "amps", fixed(last?.amps, Math.abs(last?.amps) < 0.9995 ? 3 : 2));
  put(card, "celsius", known(last?.celsius) && !stale ? `${fixed(last.celsius, 1)} \u00b0C` : "");

  const running = session?.outcome === "running";
  const until = running && last ? last.at_s + age : session?.end_s;
  put(card, "elapsed-name", running ? "Charging for" : "Charged for");
  put(card, "elapsed", session && session.outcome !== "no-charge" && known(until) ? duration(until - session.start_s) : "");
  put(card, "forecast", forecast(channel, since));
}

function forecast(channel, since) {
  if (!known(channel.remaining_s)) return "";
  const left = Math.max(0, channel.remaining_s - since), doubt = channel.session?.forecast?.finish_s_u95;
  return `${duration(left)}, at ${clock(left)}${known(doubt) ? ` \u00b1 ${duration(doubt)}` : ""}`;
}

// tell says aloud what changed in kind; numbers would never end.
function tell(before, after, holding) {
  const news = [];
  if (before.source.up !== after.source.up) news.push(after.source.up ? "source is back" : `source lost, ${after.source.state}`);
  if (before.stage !== after.stage) news.push(`stage: ${stages.find(([s]) => s === after.stage)?.[1] ?? "not known"}`);
  const old = new Set((before.session?.findings ?? []).filter((f) => f.end_s === null).map((f) => f.code));
  for (const f of holding) if (!old.has(f.code)) news.push(`${severities[f.severity] ?? f.severity}: ${f.message}`);
  if (news.length > 0) find("news").textContent = `${after.name}: ${news.join("; ")}`;
}

// --- all channels ----------------------------------------------------------------

function update(channel) {
  let card = cards.get(channel.name);
  if (!card) {
    card = newCard(channel.name);
    cards.set(channel.name, card);
    find("channels").append(card.root);
  }
  show(card, channel);
}

function replaceAll(channels) {
  const there = new Set(channels.map((c) => c.name));
  for (const [name, card] of cards) {
    if (!there.has(name)) {
      card.root.remove();
      cards.delete(name);
    }
  }
  channels.forEach(update);
  find("empty").hidden = channels.length > 0;
  find("empty").textContent = "No channel is set up. Add one to the configuration and start amphora again.";
}

function linked(up) {
  page.heard = performance.now();
  if (page.up === up && find("link").dataset.state !== "wait") return;
  page.up = up;
  find("link").dataset.state = up ? "live" : "lost";
  find("link").textContent = up ? "live" : "no connection to amphora, trying again";
  document.body.dataset.link = up ? "live" : "lost";
  find("news").textContent = up ? "connected to amphora" : "no connection to amphora";
  for (const card of cards.values()) tick(card);
}

// --- the stream ------------------------------------------------------------------

const patience = 35_000; // ms; a healthy stream says something every 15 s
let stream = null;

function connect() {
  stream?.close();
  stream = new EventSource("api/v1/live");
  const on = (kind, act) => stream.addEventListener(kind, (e) => {
    linked(true);
    act(JSON.parse(e.data));
  });
  on("channels", replaceAll);
  on("channel", update);
  on("change", () => {}); // the channel itself follows within a second
  on("heartbeat", () => {});
  stream.addEventListener("error", () => linked(false));
}

// The browser connects again by itself after most failures. After a refusal, and
// when a dead connection keeps quiet, it does not.
function watch() {
  const silent = performance.now() - page.heard;
  if (silent > patience || (stream.readyState === EventSource.CLOSED && silent > 3000)) {
    linked(false);
    connect();
  }
  for (const card of cards.values()) tick(card);
}

connect();
setInterval(watch, 1000);
