// What findings mean and what to do about them, as the server has it for its
// reports too.

import { get, path } from "./api.js";

let meanings = {};
let asked = null;

// fetchMeanings asks once; a page that cannot get them shows the evidence alone.
export function fetchMeanings() {
  asked ??= get(path`meanings`).then((all) => { meanings = all; }).catch(() => { asked = null; });
  return asked;
}

export const meaning = (code) => meanings[code] ?? "";
