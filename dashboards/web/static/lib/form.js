// Forms whose errors stand beside the field they belong to. What is right or wrong
// the server says, in one place for every way in; the page only shows it.

import { el, put, show } from "./dom.js";
import { read, known } from "./number.js";
import { say } from "./say.js";
import { capital } from "./text.js";
import { Refusal } from "./api.js";

let ids = 0;

// plain writes a number into a field: all its digits, no separators of thousands, and in
// the digits that are read from one.
const plainForm = new Intl.NumberFormat(undefined, { maximumFractionDigits: 12, useGrouping: false, numberingSystem: "latn" });
export const plain = (x) => known(x) ? plainForm.format(x).replace("-", "\u2212") : "";

// short writes so many significant digits, and none that are only zeros.
export const short = (x, significant = 3) => plain(known(x) ? Number(x.toPrecision(significant)) : x);

// number takes a number as people type it. What is none goes on as text, so that the
// server can say what is wrong with it; so does what is beyond all numbers, for which
// JSON would say that nothing was given.
export function number(text, times = 1) {
  const x = read(text);
  return x === null ? null : known(x) ? x * times : text;
}

// field is a labelled field:
//   { name, label, kind: "text" | "number" | "long" | "choice" | "moment", unit, help, value, choices: [[value, words]] }
export function field(f) {
  const id = `field-${++ids}`;
  const wrong = el("p", { class: "wrong", id: `${id}-wrong`, hidden: true });
  const help = f.help && el("p", { class: "help", id: `${id}-help` }, f.help);
  const input = control(f, { id, name: f.name, "aria-describedby": [help && `${id}-help`, `${id}-wrong`].filter(Boolean).join(" ") });
  return Object.assign(el("div", { class: f.kind === "long" ? "field wide" : "field" },
    el("label", { for: id }, f.label, f.unit && el("span", { class: "unseen" }, ` in ${f.unitName ?? f.unit}`)),
    f.unit ? el("div", { class: "with-unit" }, input, el("span", { class: "unit", "aria-hidden": "true" }, f.unit)) : input,
    help, wrong), { of: f, input, wrong });
}

function control(f, attributes) {
  if (f.kind === "choice") {
    const select = el("select", attributes, f.choices.map(([value, words]) => el("option", { value }, words)));
    select.value = f.value ?? "";
    return select;
  }
  const e = f.kind === "long" ? el("textarea", attributes) : el("input", {
    ...attributes, type: f.kind === "moment" ? "datetime-local" : "text", autocomplete: "off",
    inputmode: f.kind === "number" ? "decimal" : false, spellcheck: f.kind === "text" ? null : "false", placeholder: f.placeholder,
  });
  e.value = f.value ?? "";
  return e;
}

// value is what stands in a field, as the server takes it; null for nothing.
function value({ of, input }) {
  const text = input.value.trim();
  if (text === "") return null;
  if (of.kind === "number") return number(text, of.times);
  return of.kind === "moment" ? momentOf(text) : text;
}

function momentOf(text) {
  const at = new Date(text);
  return Number.isNaN(at.getTime()) ? text : at.toISOString();
}

// localMoment is a moment as a field of kind "moment" takes it.
export function localMoment(at) {
  const d = new Date(at), two = (n) => String(n).padStart(2, "0");
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}T${two(d.getHours())}:${two(d.getMinutes())}`;
}

// filled are the values of a form that were filled in.
export const filled = (values) => Object.fromEntries(Object.entries(values).filter(([, v]) => v !== null));

// form puts fields, or groups of them { legend, fields }, into a form. act(values)
// does what it is for; its refusal is shown. Buttons beside the main one come from
// others.
export function form({ parts, button, act, others = [] }) {
  const fields = [], whole = el("p", { class: "note", "data-kind": "alarm", role: "alert", hidden: true });
  const build = (list) => list.map((f) => {
    const e = field(f);
    fields.push(e);
    return e;
  });
  const groups = parts.map((p) => p.fields
    ? el("fieldset", { class: "fields" }, el("legend", {}, p.legend), build(p.fields))
    : el("div", { class: "fields" }, build([p].flat())));
  const go = el("button", { class: "main", type: "submit" }, button);
  const e = el("form", { class: "stack", novalidate: true, onsubmit: submit }, whole, groups, el("div", { class: "actions" }, others, go));

  async function submit(event) {
    event.preventDefault();
    if (go.disabled) return;
    go.disabled = true;
    forgive();
    try {
      await act(values());
    } catch (error) {
      complain(error);
    } finally {
      go.disabled = false;
    }
  }

  const values = () => Object.fromEntries(fields.map((f) => [f.of.name, value(f)]));

  function forgive() {
    show(whole, false);
    for (const f of fields) {
      show(f.wrong, false);
      f.input.removeAttribute("aria-invalid");
    }
  }

  function complain(error) {
    const rest = [];
    let first = null, wrong = 0;
    for (const { field: name, detail } of error instanceof Refusal ? error.fields : []) {
      const f = fields.find((one) => one.of.name === name);
      if (!f) {
        rest.push(name ? `${name} ${detail}` : detail);
        continue;
      }
      put(f.wrong, complaint(f.of.label, detail));
      show(f.wrong, true);
      f.input.setAttribute("aria-invalid", "true");
      first ??= f.input;
      wrong++;
    }
    if (rest.length || !first) {
      put(whole, capital(rest.length ? rest.join("; ") : error.message));
      show(whole, true);
    }
    if (wrong) say(wrong === 1 ? "One field cannot be taken." : `${wrong} fields cannot be taken.`);
    first?.focus();
  }

  return Object.assign(e, { fields, values });
}

// complaint completes what begins with "is": "Cells is 0, want 1 to 1000".
const complaint = (label, detail) => /^(is|stays|has)\b/.test(detail) ? `${label} ${detail}.` : `${capital(detail)}.`;

// dialog shows a form above the page until it has done what it is for.
export function dialog(title, { act, button, parts, lead }) {
  const cancel = el("button", { type: "button", onclick: () => box.close() }, "Cancel");
  const content = form({ parts, button, others: [cancel], act: async (values) => { await act(values); box.close(); } });
  const id = `dialog-${++ids}`;
  const box = el("dialog", { "aria-labelledby": id, class: "stack", onclose: () => box.remove() },
    el("h2", { id }, title), lead && el("p", {}, lead), content);
  document.body.append(box);
  box.showModal();
  content.fields[0]?.input.focus();
}
