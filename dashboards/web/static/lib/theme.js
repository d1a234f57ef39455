// Light or dark: as the system has it, or as chosen here. theme.js beside the page
// puts the choice in force before the first paint.

const listeners = new Set();

// onTheme calls act when the colours change: what is drawn on a canvas does not
// follow by itself.
export function onTheme(act) {
  listeners.add(act);
  return () => listeners.delete(act);
}

function changed() {
  resolved.clear();
  for (const act of listeners) act();
}

// offerThemes lets somebody choose; no choice is the system's.
export function offerThemes(select) {
  const { dataset } = document.documentElement;
  const put = (theme) => {
    if (theme) dataset.theme = theme;
    else delete dataset.theme;
    changed();
  };
  select.value = dataset.theme ?? "";
  select.addEventListener("change", () => {
    try { localStorage.setItem("theme", select.value); } catch { /* it holds until the page is left */ }
    put(select.value);
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", changed);
  // Paper is white, also under what is drawn on a canvas.
  window.addEventListener("beforeprint", () => put("light"));
  window.addEventListener("afterprint", () => put(select.value));
}

const resolved = new Map(); // a canvas asks for the same few a hundred times

// colour is a custom property of the look as a canvas takes it.
export function colour(name) {
  if (!resolved.has(name)) {
    const probe = document.createElement("span");
    probe.style.color = `var(--${name})`;
    document.body.append(probe);
    resolved.set(name, getComputedStyle(probe).color);
    probe.remove();
  }
  return resolved.get(name);
}
