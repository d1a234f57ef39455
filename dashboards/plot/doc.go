// Package plot draws a charge as one picture: volts, amperes and, where they
// were measured, degrees over time, with the stages shaded and named.
//
// The problem: a table of stages is exact, but whether a night was a good one
// is seen at a glance from its curve, and a picture can be sent to somebody.
//
// The promise: one picture, SVG or PNG, from the same sessions as the summary,
// that shows every peak. It draws what there is: an empty log gives an empty
// picture with axes, not an error.
//
// What it does not do: judge, smooth, or change a number.
package plot
