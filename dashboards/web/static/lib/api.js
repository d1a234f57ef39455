// Asking the server. What goes wrong is an Error whose message says what to do; a
// refusal carries the status, and the fields that cannot be taken.

import { query } from "./query.js";

export class Refusal extends Error {
  constructor(status, message, fields) {
    super(message);
    this.status = status;
    this.fields = fields; // [{ field, detail }]
  }
}

// get fetches a document. Fields that are empty are left out.
export const get = (path, fields = {}, signal) => ask("GET", path + query(fields), undefined, undefined, signal);

export const post = (path, fields) => ask("POST", path, fields, "application/json");

export const patch = (path, fields) => ask("PATCH", path, fields, "application/merge-patch+json");

// path writes names into a path: path`batteries/${name}/readings`.
export function path(texts, ...names) {
  return "api/v1/" + texts.reduce((all, text, i) => all + encodeURIComponent(names[i - 1]) + text);
}

async function ask(method, where, fields, kind, signal) {
  let answer;
  try {
    answer = await fetch(where, {
      method, signal, headers: kind ? { "Content-Type": kind } : {}, body: kind ? JSON.stringify(fields) : undefined,
    });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Error("amphora does not answer. Is it running, and are you in the same network?");
  }
  const told = await answer.json().catch(() => null);
  if (answer.ok) return told;
  throw new Refusal(answer.status, told?.detail ?? `amphora answered ${answer.status}`, told?.invalid ?? []);
}
