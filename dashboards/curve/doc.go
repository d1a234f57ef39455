// Package curve keeps the shape of a charge in little memory.
//
// The problem: a charge of a day at a row a second is 86,400 rows, a float that
// is left on for a month is two million, and a picture or a page shows two
// thousand. Taking every fortieth row loses the one overload that mattered.
//
// The promise: rows go in one at a time, in memory that does not grow with the
// length of the charge, and what comes out are rows that truly were, in the
// order of time, with the lowest and the highest volts, amperes and degrees of
// every stretch among them.
//
// What it does not do: add anything up (package analyze does, from all rows),
// draw, or guard itself against use from two goroutines at once.
package curve
