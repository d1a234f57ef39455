// The charges that were recorded: all of them, one in full, or several laid over each
// other. The address says which: #/nights, #/nights/ONE, #/nights/ONE/OTHER.

import { openList } from "../parts/nightlist.js";
import { openNight } from "../parts/night.js";
import { openOverlay } from "../parts/overlay.js";

export function open(root, route) {
  const { parts, query } = route;
  if (parts.length === 0) return openList(root, query);
  return parts.length === 1 ? openNight(root, parts[0]) : openOverlay(root, parts);
}
