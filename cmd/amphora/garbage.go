package main

import (
	"os"
	"runtime/debug"
)

// How much garbage may gather before it is collected, in percent of what is in use. The
// first collection comes where about 0.7 of so many hundredths of 4 MiB have been used.
const (
	// thrift is for what goes on for long. The daemon makes little garbage, and shares small
	// machines with others; where long logs are read, memory that was never used costs more
	// than to clean up.
	thrift = 40
	// ample is for the log of one night, which uses 3.4 MiB in all where its heading tells what
	// it holds. To collect those takes a seventh of its time, and more memory for the collector's
	// own books than is won. With more, logs whose fit leaves more behind would pass 24 MiB.
	ample = 130
)

// gather lets so much garbage gather, unless whoever started the program has said how
// much; back undoes it.
func gather(percent int) (back func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	before := debug.SetGCPercent(percent)
	return func() { debug.SetGCPercent(before) }
}

// garbageFrom is how much may gather where so many logs are read.
func garbageFrom(logs int) int {
	if logs > 1 {
		return thrift
	}
	return ample // until it turns out to be a long one
}
