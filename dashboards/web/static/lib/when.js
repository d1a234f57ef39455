// Times and stretches of time as the browser's language writes them. Moments are
// Dates or ms since 1970.

// form writes moments. The hour that comes twice when summer time ends has its zone behind
// it: else nobody could tell which one is meant.
function form(options) {
  const plain = new Intl.DateTimeFormat(undefined, options);
  const zoned = options.hour ? new Intl.DateTimeFormat(undefined, { ...options, timeZoneName: "short" }) : plain;
  return { format: (at) => (twice(+at) ? zoned : plain).format(at) };
}

const hour = 3_600_000;
const offset = (at) => new Date(at).getTimezoneOffset();
const twice = (at) => offset(at - hour) < offset(at) || offset(at) < offset(at + hour);

const clockForm = form({ hour: "numeric", minute: "2-digit" });
const dayForm = form({ weekday: "short", hour: "numeric", minute: "2-digit" });
const dateForm = form({ day: "numeric", month: "short", year: "numeric" });
const longForm = form({ weekday: "long", day: "numeric", month: "long", year: "numeric" });
const fullForm = form({ day: "numeric", month: "short", year: "numeric", hour: "numeric", minute: "2-digit" });

const sameDay = (a, b) => new Date(a).toDateString() === new Date(b).toDateString();
const half = 43_200_000;

// clock is a time of day, with the day of the week where it could be mistaken: a
// night is one thing, although it has two dates.
export function clock(at, from = Date.now()) {
  return (sameDay(at, from) || Math.abs(at - from) < half ? clockForm : dayForm).format(at).replaceAll(" ", "\u00a0"); // never broken across two lines
}

export const date = (at) => dateForm.format(at);
export const longDate = (at) => longForm.format(at);
export const dateTime = (at) => fullForm.format(at);

// duration is a stretch in s as people say it.
export function duration(s) {
  if (s < 60) return `${Math.round(s)} s`;
  const minutes = Math.round(s / 60);
  if (minutes < 60) return `${minutes} min`;
  if (minutes < 48 * 60) return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")} min`;
  return `${Math.floor(minutes / 1440)} days ${Math.floor(minutes / 60) % 24} h`;
}

// unset is before any date of a clock that somebody has set.
const unset = Date.UTC(2020, 0);

// moment is the ms since 1970 of a time in a session's own seconds; null where the
// log knows no date, or only that of a clock that nobody had set.
export function moment(session, s) {
  const began = session?.started ? Date.parse(session.started) : 0;
  return began < unset ? null : began + (s - session.start_s) * 1000;
}

export const dated = (session) => moment(session, 0) !== null;

// inLog is how a log without a date tells the time: by how much of it there was. It must not look
// like a time of day, as 7:53 h does where people write those so.
const inLog = (s) => `${duration(s)} in`.replaceAll(" ", "\u00a0");

// at is a time of a session, by the clock where there is one.
export function at(session, s) {
  const ms = moment(session, s);
  return ms === null ? inLog(s) : clock(ms, Date.parse(session.started));
}
