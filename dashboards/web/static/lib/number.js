// Numbers as the browser's language writes them, with no more digits than they are
// worth. What is not known is a dash.

export const known = (x) => typeof x === "number" && Number.isFinite(x);

export const nothing = "\u2013";
const forms = new Map();

// fixed writes so many decimals. Nothing is ever "-0".
export function fixed(x, places) {
  if (!known(x)) return nothing;
  if (!forms.has(places)) {
    forms.set(places, new Intl.NumberFormat(undefined, {
      minimumFractionDigits: places, maximumFractionDigits: places, signDisplay: "negative",
    }));
  }
  return forms.get(places).format(x).replace("-", "\u2212");
}

export const whole = (x) => fixed(x, 0);

export const percent = (x) => known(x) ? `${fixed(100 * x, 0)} %` : nothing;

// volts and amps show what a usual meter is good for: thousandths below ten volts
// or one ampere, hundredths above.
export const volts = (x) => fixed(x, Math.abs(x) < 9.9995 ? 3 : 2);

export const amps = (x) => fixed(x, Math.abs(x) < 0.9995 ? 3 : 2);

export const celsius = (x) => fixed(x, 1);

// digits writes three digits, which is enough where no uncertainty is stated.
export function digits(x) {
  if (!known(x)) return nothing;
  return fixed(x, x === 0 ? 2 : Math.min(3, Math.max(0, 2 - Math.floor(Math.log10(Math.abs(x))))));
}

// places is how many decimals of a value its uncertainty lets one read.
export function places(doubt) {
  return doubt > 0 ? Math.min(4, Math.max(0, Math.ceil(-Math.log10(doubt / 2)))) : 2;
}

// within writes a value with its uncertainty: "12.43 ± 0.15".
export function within(x, doubt) {
  if (!known(x)) return nothing;
  if (!known(doubt)) return digits(x);
  const n = places(doubt);
  return `${fixed(x, n)}\u00a0\u00b1\u00a0${fixed(doubt, n)}`; // never broken across two lines
}

// read takes a number as people type it, with a comma or a point; null where there
// is none, NaN where it is no number.
export function read(text) {
  const plain = text.trim().replace(/\s/g, "").replace("\u2212", "-").replace(",", ".");
  return plain === "" ? null : Number(plain);
}
