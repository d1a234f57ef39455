// Package condition says how a battery has changed over the months, from its
// recorded charges and from readings noted by hand.
//
// The problem: "is my battery dying?" cannot be told from one night, and from
// many nights only if like is compared with like: a cold battery has a higher
// resistance than a warm one, an empty one a higher than a full one.
//
// The promise: each quantity gets a robust slope with an interval, and a verdict
// that names its evidence and the figure it is held against. Where there are too
// few observations, or they scatter too much, it says that it cannot tell.
//
// What it does not do: read the logbook, ask the time, or foretell a date. A
// capacity test settles what this can only suggest.
package condition
