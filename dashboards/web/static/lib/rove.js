// Moving through a list or a table by the arrow keys: one of its stops is reached by
// Tab, and from there the arrows lead on. Up and down go from row to row, left and
// right along the stops of a row.

// rove watches a container; rows and stops are selectors. It returns what to call
// when the rows have changed.
export function rove(container, rows, stops) {
  const table = () => [...container.querySelectorAll(rows)].map((r) => [...r.querySelectorAll(stops)]).filter((r) => r.length);
  let row = 0, column = 0;

  function settle() {
    const all = table();
    row = Math.min(row, Math.max(0, all.length - 1));
    all.forEach((r, i) => r.forEach((e, j) => { e.tabIndex = i === row && j === Math.min(column, r.length - 1) ? 0 : -1; }));
    return all;
  }
  function go(to, along) {
    row = to;
    column = along;
    const all = settle();
    all[row]?.[Math.min(column, all[row].length - 1)]?.focus();
  }
  container.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || !e.target.matches(stops)) return;
    const all = table(), last = all.length - 1;
    const way = {
      ArrowDown: [Math.min(row + 1, last), column], ArrowUp: [Math.max(row - 1, 0), column], Home: [0, column], End: [last, column],
      PageDown: [Math.min(row + 10, last), column], PageUp: [Math.max(row - 10, 0), column],
      ArrowRight: [row, Math.min(column + 1, (all[row]?.length ?? 1) - 1)], ArrowLeft: [row, Math.max(column - 1, 0)],
    }[e.key];
    if (!way) return;
    e.preventDefault();
    go(...way);
  });
  container.addEventListener("focusin", (e) => {
    const all = table(), at = all.findIndex((r) => r.includes(e.target));
    if (at < 0) return;
    row = at;
    column = all[at].indexOf(e.target);
    settle();
  });
  settle();
  return settle;
}
