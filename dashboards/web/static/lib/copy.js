// Copying text. Browsers lend the clipboard to pages over TLS and on the machine
// itself; elsewhere the old way must do.

import { el } from "./dom.js";
import { say } from "./say.js";

const shown = 2500; // ms

// copyButton copies what text() returns.
export function copyButton(words, text) {
  let timer = 0;
  const b = el("button", {
    type: "button",
    onclick: async () => {
      const done = await copy(text());
      b.textContent = done ? "Copied" : "Select the text and copy it by hand";
      say(done ? "Copied." : "The browser does not let this page copy. Select the text by hand.");
      clearTimeout(timer);
      timer = setTimeout(() => { b.textContent = words; }, shown);
    },
  }, words);
  return b;
}

async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return oldWay(text);
  }
}

function oldWay(text) {
  const area = el("textarea", { class: "unseen", readonly: true, "aria-hidden": "true" });
  const focused = document.activeElement;
  area.value = text;
  document.body.append(area);
  area.select();
  try { return document.execCommand("copy"); } catch { return false; } finally {
    area.remove();
    focused?.focus();
  }
}
