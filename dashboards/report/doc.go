// Package report turns what was found into pages for people: a short one for the
// terminal, one in HTML to keep or to hand on, and tables for other programs.
//
// The promise: every number stands with its unit, how sure it is and how it came about;
// what is not known shows as unknown; and text that came from a device or a file name
// can do nothing to the terminal, browser or spreadsheet that shows it.
//
// It judges nothing: what is odd about a charge is said by package analyze.
package report
