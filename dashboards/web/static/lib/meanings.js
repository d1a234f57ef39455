// What findings mean and what to do about them, as the server has it for its
// reports too.

import { get, path } from "./api.js";

let meanings = {}, past = {};
let asked = null;

// fetchMeanings asks once; a page that cannot get them shows the evidence alone.
export function fetchMeanings() {
  asked ??= Promise.all([get(path`meanings`), get(path`meanings`, { past: true })]).then((all) => { [meanings, past] = all; }).catch(() => { asked = null; });
  return asked;
}

// meaning is that of a finding which holds, or did (over).
export const meaning = (code, over = false) => (over ? past : meanings)[code] ?? "";
