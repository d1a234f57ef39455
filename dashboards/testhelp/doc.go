// Package testhelp is what the tests of several packages need: the programs of others
// that a part is tried with, a log that can be read while it is written, and a server
// that says what a test wants it to.
//
// It is for tests alone, and no part of the program.
package testhelp
