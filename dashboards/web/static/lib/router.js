// Which view is shown stands behind the # of the address: "#/nights/bench-1?with=b"
// is the view "nights" with the parts ["bench-1"] and the query "with=b". So the
// browser's own back, forward and bookmarks work, and the server need not know.

import { el, clear } from "./dom.js";
import { query } from "./query.js";
import { styleSheet } from "./style.js";

// parse takes an address apart: { path, parts, query }.
function parse(hash, first) {
  const [place, asked] = hash.replace(/^#\/?/, "").split("?", 2);
  const [path, ...parts] = place.split("/").filter(Boolean).map(decode);
  return { path: path || first, parts, query: new URLSearchParams(asked ?? "") };
}

function decode(part) {
  try { return decodeURIComponent(part); } catch { return part; } // somebody typed a lone %
}

// address writes what parse reads. Fields of the query that are empty are left out.
export function address(path, parts = [], fields = {}) {
  return `#/${[path, ...parts].map(encodeURIComponent).join("/")}${query(fields)}`;
}

// rewrite changes the address without a step in the history, for a search that is
// being typed.
export function rewrite(path, parts, fields) {
  history.replaceState(null, "", address(path, parts, fields));
}

// title names what is shown, in the browser's own list of tabs too.
export function title(text) { document.title = `${text} \u00b7 amphora`; }

// follow shows the view that the address names, now and whenever it changes.
export function follow(views, nav, main) {
  for (const v of views) nav.append(el("a", { href: address(v.path), "data-view": v.path }, v.name));
  let shown = null; // what the view returned
  let turns = 0;

  async function go(arrived) {
    const turn = ++turns;
    const route = parse(location.hash, views[0].path);
    const view = views.find((v) => v.path === route.path);
    mark(nav, view);
    title(view?.name ?? "Nothing here");
    const next = view ? await fetchView(view) : { open: lost };
    if (turn !== turns) return; // somebody has gone on meanwhile
    shown?.close?.();
    const root = el("div", { class: `view view-${view?.path ?? "lost"}` });
    clear(main).append(root);
    shown = next.open(root, route);
    // A screen reader begins to read where the focus is: at the top of what is new.
    if (arrived) {
      window.scrollTo(0, 0);
      main.focus({ preventScroll: true });
    }
  }
  window.addEventListener("hashchange", () => go(true));
  go(false);
}

// fetchView fetches a view's module and its styles, both at once.
async function fetchView(view) {
  const module = view.load().catch((e) => ({ open: (root) => failed(root, e) }));
  await Promise.all(view.styles.map(styleSheet));
  return module;
}

function mark(nav, view) {
  for (const a of nav.children) {
    if (a.dataset.view === view?.path) a.setAttribute("aria-current", "page");
    else a.removeAttribute("aria-current");
  }
}

function lost(root) {
  root.append(el("h1", {}, "There is no such view."), el("p", {}, el("a", { href: "#/" }, "Back to what happens now")));
}

function failed(root, error) {
  root.append(el("h1", {}, "This view could not be fetched."), el("p", {}, `${error.message}. Is amphora running? Try again in a moment.`));
}
