// Package mangle makes damaged text out of sound text, by a seed.
//
// A fuzzer that is led by coverage finds the odd paths, at some thousand texts a
// second. What it has found is then worth trying in great numbers, which this does
// within the test itself: some million a second, the same ones for the same seed,
// so that what fails can be run again. It promises no coverage.
package mangle
