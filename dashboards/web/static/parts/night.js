// One night in full.

import { el, clear, put, show, changed } from "../lib/dom.js";
import { get, path } from "../lib/api.js";
import { address, title } from "../lib/router.js";
import { all, subscribe } from "../lib/store.js";
import { fetchMeanings } from "../lib/meanings.js";
import { fromSamples, broken, replaced } from "../lib/columns.js";
import { shiftOf, gapsOf, stagesOf, marksOf, bandOf } from "../lib/annotated.js";
import { sentence } from "../lib/text.js";
import { dated, longDate, moment } from "../lib/when.js";
import { kinds, outcomes } from "../lib/words.js";
import { kindOf } from "./battery.js";
import { curve } from "./curve.js";
import { ribbon } from "./ribbon.js";
import { list } from "./findings.js";
import { facts, pairs } from "./figures.js";
import { ofNight, ended } from "./sentence.js";
import { stageTable, restPart, resistancePart, capacityFacts } from "./nightparts.js";
import { notes } from "./notes.js";
import { anotherBattery } from "./anotherbattery.js";

const points = 3000; // of a curve, for the whole and for a stretch
const anew = 20_000; // ms after which the curve of a night that goes on is fetched again

export function openNight(root, id) {
  const back = el("p", { class: "screen-only" }, el("a", { href: address("nights") }, "\u2190 All nights"));
  const waiting = el("p", { class: "quiet" }, "Fetching this night.");
  root.append(back, waiting);
  const page = { id, root, closed: false, end: null, view: null };
  Promise.all([get(path`sessions/${id}`), fetchMeanings()]).then(([session]) => {
    if (page.closed) return;
    waiting.remove();
    build(page, session);
  }).catch((e) => put(waiting, `This night cannot be shown: ${e.message}`));
  return {
    close() {
      page.closed = true;
      page.end?.();
      page.view?.close();
    },
  };
}

function build(page, session) {
  const { id } = page;
  const shift = shiftOf(session);
  const heading = dated(session) ? longDate(moment(session, session.start_s)) : id;
  title(heading);
  const slots = {
    about: el("p", { class: "quiet" }),
    word: el("p", { class: "mark" }), sentence: el("p", { class: "lead" }), by: el("p", { class: "quiet" }),
    findings: el("ul", { class: "findings", "aria-label": "What amphora noticed" }), ribbon: ribbon(), facts: el("dl", { class: "pairs" }),
    another: anotherBattery(id, (s) => drawAll(s)), stages: el("section"), rest: el("section"), resistance: el("section"), untold: el("p", { class: "note", hidden: true }),
  };
  page.view = curve({ height: 380, label: "Curve of this night", closer });
  page.root.append(frame(id, heading, slots, page.view));

  const rows = { whole: null, close: [[]] }; // close are those of the stretch that was looked into last
  let current = session;
  const drawAll = changed((s) => {
    current = s;
    tell(slots, s);
    drawCurve();
  });
  function drawCurve() {
    if (rows.whole) page.view.draw(replaced(rows.whole, rows.close), { dated: dated(session), stages: stagesOf(current, shift), marks: marksOf(current, shift), band: bandOf(current, shift) });
  }
  async function fetchWhole() {
    const told = await get(path`sessions/${id}/samples`, { points, from: current.stages[0]?.start_s }); // before it is another charge's rest
    rows.whole = broken(fromSamples(told, shift), gapsOf(current, shift));
    show(slots.untold, false);
    drawCurve();
  }
  let looked = 0;
  // closer puts a stretch at full detail in place of what is shown of it.
  async function closer(from, to) {
    const turn = ++looked;
    const told = await get(path`sessions/${id}/samples`, { points, from: from - shift, to: to - shift }).catch(() => null);
    if (!told || page.closed || turn !== looked) return; // what is there is still true, only coarser
    rows.close = broken(fromSamples(told, shift), gapsOf(current, shift).filter(([a, b]) => a > from && b < to));
    drawCurve();
  }

  drawAll(session);
  fetchWhole().catch((e) => {
    show(page.view.root, false);
    put(slots.untold, sentence(`No curve: ${e.message}`));
    show(slots.untold, true);
  });
  if (session.outcome === "running" || all().some(({ state }) => state.session?.id === id)) page.end = followLive(id, drawAll, fetchWhole);
}

// frame puts the parts of the page where they stand.
function frame(id, heading, slots, view) {
  return el("div", { class: "stack night" },
    el("header", { class: "card stack" },
      el("div", { class: "row" }, el("h1", {}, heading), el("span", { class: "wide" }), slots.word),
      slots.about, slots.sentence, slots.by, slots.findings, slots.ribbon.root, slots.facts),
    el("section", { class: "card stack", "aria-label": "Curve" }, view.root, slots.untold,
      el("p", { class: "quiet screen-only" }, el("small", {}, "Drag over a stretch to look closer, double-click for the whole; or use the buttons, or the keys + \u2212 \u2190 \u2192 0."))),
    el("div", { class: "card stack" }, slots.stages),
    el("div", { class: "side-by-side" }, slots.rest, slots.resistance),
    notes(id),
    el("div", { class: "row screen-only" },
      el("a", { class: "button", href: path`sessions/${id}/report`, target: "_blank", rel: "noopener" }, "Report to print or keep"),
      el("button", { type: "button", onclick: () => window.print() }, "Print this page"),
      slots.another));
}

// tell fills them with what is known of the night, the curve apart.
function tell(slots, s) {
  slots.word.dataset.kind = kinds[s.outcome] ?? "";
  put(slots.about, about(s));
  slots.another.draw(s);
  put(slots.word, outcomes[s.outcome] ?? s.outcome);
  put(slots.sentence, ofNight(s).text);
  put(slots.by, ended(s) ? `It ended because ${ended(s)}.` : "");
  show(slots.by, ended(s) !== "");
  clear(slots.findings).append(...list(s, s.outcome === "running" || all().some(({ state }) => state.session?.id === s.id)));
  show(slots.findings, s.findings.length > 0);
  slots.ribbon.draw(s, s.outcome === "running" ? s.end_s : NaN);
  clear(slots.facts).append(...pairs([...facts(s), ...capacityFacts(s)]));
  stageTable(slots.stages, s);
  restPart(slots.rest, s);
  resistancePart(slots.resistance, s);
}

// followLive keeps a night up to date that goes on.
function followLive(id, draw, fetchWhole) {
  let fetched = performance.now();
  return subscribe((what) => {
    if (what !== "channel" && what !== "channels") return;
    const now = all().map(({ state }) => state.session).find((s) => s?.id === id);
    if (!now) return;
    draw(now);
    if (performance.now() - fetched < anew) return;
    fetched = performance.now();
    fetchWhole().catch(() => {}); // the next one may come through
  });
}

function about(s) {
  const battery = s.battery ? [`battery ${s.battery}`] : [];
  const kind = s.chemistry ? [kindOf(s) + (s.chemistry_inferred ? ", as inferred from the curve" : "")] : [];
  return [...battery, `channel ${s.channel}`, ...kind].join(" \u00b7 ");
}
