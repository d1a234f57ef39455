// Package testhelp is what the tests of several packages need: the programs of others
// that a part is tried with, real logs, a log that can be read while it is written, a
// server that says what a test wants it to, waiting for what others do in their own time,
// files that are compared or written anew, certificates, and a plain count of
// ampere-hours that the program's own is held against.
//
// It is for tests alone, and no part of the program.
package testhelp
