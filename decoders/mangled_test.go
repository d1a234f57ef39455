package decoders

import (
	"os"
	"testing"

	"amphora/analyze/madeup/mangle"
)

// Damaged lines and logs in numbers that a fuzzer does not reach.

func TestMangledLines(t *testing.T) {
	check := anyLine(t)
	m := mangle.New(1, sound()...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 20_000) {
		check(t, m.Next())
	}
}

func TestMangledLogs(t *testing.T) {
	m := mangle.New(2, soundLogs()...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 300) {
		anyLog(t, m.Next())
	}
}

func TestMangledNumbers(t *testing.T) {
	m := mangle.New(3, []byte("13.741"), []byte("+1.26500000E+01"), []byte("-0.004"), []byte("9007199254740993"), []byte("2.2250738585072011e-308"))
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 100_000) {
		checkNumber(t, string(m.Next()))
	}
}
