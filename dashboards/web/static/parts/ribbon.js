// The ribbon: a whole night from left to right in the shades of its stages. What has
// been is in full tone, what is forecast is hatched and fades where the end may fall.

import { el, place, put } from "../lib/dom.js";
import { stages as names } from "../lib/words.js";
import { at, duration } from "../lib/when.js";
import { known } from "../lib/number.js";
import { counted } from "../lib/text.js";

const short = { "idle": "wait", "constant-current": "current", "constant-voltage": "voltage", "finish": "finish", "rest": "rest" };

// unseen is how much of the ribbon is left open where nobody can say when the
// charge ends.
const unseen = 0.2;

// before is how much is shown of what was before a charge, as a share of it: a wait of
// days must not press the charge into a corner.
const before = 0.12;

// ribbon makes an empty one; its draw(session, now) fills it, now being the
// session's own time in s.
export function ribbon() {
  const band = el("div", { class: "band" }), marks = el("div", { class: "marks", "aria-hidden": "true" });
  const root = el("div", { class: "ribbon", role: "img" }, band, marks);
  let drawn = null;
  new ResizeObserver(() => { if (drawn) settle(root, band, marks); }).observe(root);
  return {
    root,
    draw(session, now) {
      const plan = layOut(session, now);
      if (!plan) { root.hidden = true; return; }
      root.hidden = false;
      const key = JSON.stringify(plan);
      if (key === drawn) return;
      drawn = key;
      root.setAttribute("aria-label", tell(session, plan));
      band.replaceChildren(...plan.parts.map((p) => place(
        el("div", { class: p.kind, "data-stage": p.stage, title: p.title }, p.name && el("span", { "data-short": short[p.stage] }, p.name)),
        { left: cent(p.from), width: cent(p.to - p.from), "--sure": cent(p.sure ?? 1) })));
      marks.replaceChildren(...plan.marks.map((m) => place(el("span", { class: `tick ${m.kind}`, "data-rank": m.rank }, m.text), { left: cent(m.at) })));
      settle(root, band, marks);
    },
  };
}

const cent = (share) => `${(100 * share).toFixed(2)}%`;

// layOut says what stands where, in shares of the width.
function layOut(session, now) {
  if (!session || session.stages.length === 0) return null;
  const all = session.stages;
  const running = session.outcome === "running" && known(now);
  const last = running ? Math.max(now, all.at(-1).end_s) : all.at(-1).end_s;
  const f = running && known(session.forecast?.finish_s) ? session.forecast : null;
  const doubt = f && known(f.finish_s_u95) ? f.finish_s_u95 : 0;
  const charged = Math.max(last, f ? f.finish_s + doubt : last) - session.start_s;
  const from = Math.max(all[0].start_s, session.start_s - before * charged);
  let to = Math.max(last, f ? f.finish_s + doubt : last);
  if (running && !f) to += unseen * (to - from) / (1 - unseen);
  if (!(to > from)) return null;
  const share = (s) => Math.min(1, Math.max(0, (s - from) / (to - from)));

  const parts = all.filter((g) => g.end_s > from).map((g) => {
    const end = running && g === all.at(-1) ? last : g.end_s;
    return {
      kind: "past", stage: g.stage, from: share(g.start_s), to: share(end), name: names[g.stage],
      title: `${names[g.stage]}, ${at(session, g.start_s)} to ${at(session, end)}, ${duration(end - g.start_s)}`,
    };
  });
  for (const g of session.gaps) parts.push({ kind: "gap", from: share(g.start_s), to: share(g.end_s), title: `no rows for ${duration(g.end_s - g.start_s)}` });
  const stage = all.at(-1).stage;
  if (f) {
    const early = share(Math.max(last, f.finish_s - doubt));
    parts.push({ kind: "ahead", stage, from: share(last), to: 1, sure: (early - share(last)) / (1 - share(last)), title: "as forecast; where it fades it ends, 19 times in 20" });
  } else if (running) {
    parts.push({ kind: "ahead", stage, from: share(last), to: 1, sure: 0, title: "nobody can say yet how long" });
  }

  const marks = [];
  const mark = (s, text, kind, rank) => { if (s >= from - 1 && s <= to + 1) marks.push({ at: share(s), text, kind, rank }); };
  if (running) mark(last, `now ${at(session, last)}`, "now", 1);
  if (f) mark(f.finish_s, `about ${at(session, f.finish_s)}`, "end", 2);
  if (known(session.finish_s)) mark(session.finish_s, `full ${at(session, session.finish_s)}`, "end", 2);
  mark(session.start_s, at(session, session.start_s), "", 3);
  if (f && doubt > 0) {
    mark(f.finish_s + doubt, at(session, f.finish_s + doubt), "", 4);
    mark(f.finish_s - doubt, at(session, f.finish_s - doubt), "", 5);
  }
  if (!running) mark(last, at(session, last), "", 4);
  for (const g of all.slice(1)) mark(g.start_s, at(session, g.start_s), "", 6);
  return { parts, marks };
}

// settle leaves out the names that do not fit and the times that would stand over
// others, the least telling first.
function settle(root, band, marks) {
  for (const part of band.children) {
    const name = part.firstElementChild;
    if (!name) continue;
    const full = name.dataset.full ??= name.textContent;
    name.hidden = false;
    put(name, full);
    if (name.offsetWidth > part.clientWidth - 8) put(name, name.dataset.short);
    name.hidden = name.offsetWidth > part.clientWidth - 4;
  }
  const width = root.clientWidth, taken = [[], []];
  const ticks = [...marks.children].sort((a, b) => a.dataset.rank - b.dataset.rank);
  for (const t of ticks) t.hidden = false;
  for (const t of ticks) {
    const middle = parseFloat(t.style.left) / 100 * width, half = t.offsetWidth / 2;
    const left = Math.min(Math.max(middle - half, 0), width - 2 * half);
    place(t, { "--shift": `${left - middle}px` });
    const spot = [left - 6, left + 2 * half + 6];
    // What matters gets a second row where the first is taken.
    const row = taken.findIndex((r, i) => (i === 0 || t.dataset.rank <= 2) && !r.some(([a, b]) => spot[0] < b && spot[1] > a));
    t.hidden = row < 0;
    t.dataset.row = row + 1;
    if (row >= 0) taken[row].push(spot);
    if (row === 1) taken[0].push([middle - 4, middle + 4]); // its line passes there
  }
  root.dataset.rows = taken[1].length ? 2 : 1;
}

// tell says the same in words, for those who do not see it.
function tell(session, plan) {
  const past = plan.parts.filter((p) => p.kind === "past").map((p) => p.title);
  const ahead = plan.marks.find((m) => m.kind === "end");
  const gaps = plan.parts.filter((p) => p.kind === "gap").length;
  return [...past, gaps && `${counted(gaps, "gap")} without rows`, ahead && `end of charge: ${ahead.text}`].filter(Boolean).join("; ");
}
