// The fields of the forms about batteries.

import { plain, localMoment } from "../lib/form.js";
import { chemistries } from "../lib/words.js";

// batteryFields are what may be told of a battery; b is what is known, null for a
// new one. The name stays: charges refer to it.
export function batteryFields(b) {
  const name = { name: "name", label: "Name", kind: "text", help: "As the configuration calls it, like mower or caravan left." };
  return [
    { legend: b ? "From the label" : "The battery", fields: [
      ...(b ? [] : [name]),
      { name: "chemistry", label: "Kind", kind: "choice", value: b?.chemistry, choices: [["", "not known"], ...Object.entries(chemistries)] },
      { name: "cells", label: "Cells in series", kind: "number", value: plain(b?.cells), help: "A 12 V lead-acid battery has 6." },
      { name: "capacity_ah", label: "Capacity", kind: "number", unit: "Ah", unitName: "ampere-hours", value: plain(b?.capacity_ah) },
      { name: "capacity_hours", label: "Rated over", kind: "number", unit: "h", unitName: "hours", value: plain(b?.capacity_hours), help: "The hours behind the capacity, often 20." },
      { name: "reserve_minutes", label: "Reserve capacity", kind: "number", unit: "min", unitName: "minutes", value: plain(b?.reserve_minutes), help: "Minutes at 25 A, where the label gives those." },
    ] },
    { legend: "And beside it", fields: [
      { name: "bought", label: "Bought", kind: "text", value: b?.bought, placeholder: "2026-03", help: "A day, a month or a year." },
      { name: "where", label: "Where", kind: "text", value: b?.where, help: "Where it was bought, or stands." },
      { name: "note", label: "Note", kind: "long", value: b?.note },
    ] },
  ];
}

// readingFields are what may be measured by hand.
export function readingFields() {
  return [
    { legend: "What was measured", fields: [
      { name: "volts", label: "Rest voltage", kind: "number", unit: "V", unitName: "volts", help: "After some hours without current." },
      { name: "ohm", label: "Internal resistance", kind: "number", unit: "m\u03a9", unitName: "milliohms", times: 0.001 },
      { name: "gravity", label: "Specific gravity", kind: "number", help: "Of the acid, like 1.265." },
      { name: "celsius", label: "Temperature", kind: "number", unit: "\u00b0C", unitName: "degrees Celsius", help: "Of the battery." },
    ] },
    { legend: "How and when", fields: [
      { name: "at", label: "When", kind: "moment", value: localMoment(Date.now()) },
      { name: "means", label: "Measured with", kind: "text" },
      { name: "remark", label: "Remark", kind: "long" },
    ] },
  ];
}
