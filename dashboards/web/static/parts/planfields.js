// What may be told of a battery and its charger before it is charged.

import { chemistries } from "../lib/words.js";

export function labelFields(told) {
  const text = (name, label, more = {}) => ({ name, label, kind: "text", value: told[name], ...more });
  return [
    { legend: "The battery", fields: [
      { name: "chemistry", label: "Kind", kind: "choice", value: told.chemistry, choices: [["", "not known: flooded is assumed"], ...Object.entries(chemistries)] },
      text("capacity", "Capacity", { unit: "Ah", unitName: "ampere-hours", help: "Or watt-hours, like 420Wh." }),
      text("rated-hours", "Rated over", { unit: "h", unitName: "hours", help: "Usual: 20 for lead-acid, 5 for the others." }),
      text("reserve-minutes", "Reserve capacity", { unit: "min", unitName: "minutes", help: "Minutes at 25 A, in place of a capacity." }),
      text("cells", "Cells in series", { help: "Or the voltage beside it." }),
      text("volts", "Nominal voltage", { unit: "V", unitName: "volts" }),
      text("cold-cranking", "Cold-cranking current", { unit: "A", unitName: "amperes", help: "It tells no capacity." }),
    ] },
    { legend: "How it is now", fields: [
      text("depth", "Taken out", { help: "A share like 60%. Empty: all of it." }),
      text("celsius", "Temperature", { unit: "\u00b0C", unitName: "degrees Celsius", help: "At the battery. Empty: 25." }),
    ] },
    { legend: "The charger", fields: [
      text("rate", "Current to plan with", { unit: "A", unitName: "amperes", help: "Or a share, like 10% or 0.1C. Empty: the cautious one." }),
      text("timer", "Its own timer", { unit: "h", unitName: "hours", help: "After which it ends by itself." }),
      text("lead-length", "Length of its leads", { unit: "m", unitName: "metres", help: "One way." }),
      text("lead-area", "Cross-section", { unit: "mm\u00b2", unitName: "square millimetres", help: "Of each lead." }),
    ] },
  ];
}
