// Words put together as a sentence wants them.

import { whole } from "./number.js";

export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

// sentence gives a text its capital, and its full stop where it has none.
export const sentence = (text) => capital(text) + (/[.!?]$/.test(text) ? "" : ".");

// counted says how many there are of a thing: "1 note", "3 notes".
export const counted = (n, thing) => `${whole(n)} ${thing}${n === 1 ? "" : "s"}`;

// listed names several things: "mower, caravan and boat".
export const listed = (things) => things.length < 2 ? things.join("") : `${things.slice(0, -1).join(", ")} and ${things.at(-1)}`;
