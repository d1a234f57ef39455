// The rows of a curve as the plotting library wants them: one list a quantity, the
// first being the time in s, null where nothing is known.

// fromSamples takes what the API gives; shift, in s, leads its times to those that
// are shown.
export function fromSamples({ at_s: at, volts, amps, celsius }, shift) {
  return [at.map((s) => s + shift), volts, amps, celsius];
}

// broken puts an empty row into every gap, so that no line is drawn across what
// nobody has seen.
export function broken(columns, gaps) {
  const out = columns.map((c) => c.slice());
  for (const [from, to] of gaps) {
    const i = firstAfter(out[0], (from + to) / 2);
    if (i === 0 || i === out[0].length) continue;
    out[0].splice(i, 0, (from + to) / 2);
    for (const c of out.slice(1)) c.splice(i, 0, null);
  }
  return out;
}

// firstAfter is the place of the first time that is not before t.
export function firstAfter(times, t) {
  let low = 0, high = times.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (times[mid] < t) low = mid + 1;
    else high = mid;
  }
  return low;
}

// replaced puts the rows of a stretch, seen more closely, in place of those of the
// whole curve there.
export function replaced(whole, close) {
  if (close[0].length === 0) return whole;
  const a = firstAfter(whole[0], close[0][0]);
  let b = firstAfter(whole[0], close[0].at(-1));
  if (whole[0][b] === close[0].at(-1)) b++;
  return whole.map((c, i) => [...c.slice(0, a), ...close[i], ...c.slice(b)]);
}

// added appends one row, unless it is none of later times.
export function added(columns, row) {
  if (columns[0].length && !(row[0] > columns[0].at(-1))) return columns;
  return columns.map((c, i) => [...c, row[i] ?? null]);
}

// thinned drops every second row of the older half: a page that is open for days
// must not grow for ever.
export function thinned(columns, most) {
  const n = columns[0].length;
  if (n <= most) return columns;
  const half = n >> 1;
  return columns.map((c) => c.filter((_, i) => i >= half || i % 2 === 0));
}
