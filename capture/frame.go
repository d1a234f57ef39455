package capture

import "time"

// Frame is one line as it came from a source, stamped at the edge. Only
// capture stamps; nobody downstream asks for the time.
type Frame struct {
	Wall  time.Time     // the wall clock when the line's end arrived; it may be wrong or jump
	Boot  time.Duration // the clock that counts since boot, also through suspend; never jumps
	Text  []byte        // the line without its end, byte for byte; from Run, valid until emit returns
	Flags Flags
}

// Flags tell what was odd about a line or about the moment it came.
type Flags uint8

// The flags of a frame.
const (
	Fragment Flags = 1 << iota // the line's beginning was missed, or it had no end
	Overlong                   // the line was cut at the limit
	Opened                     // not a line: the source was opened or came back; Text says which
	Lost                       // not a line: the source was lost; Text says why
	Marked                     // not a line: a remark of capture itself (clock step, suspend, chosen decoder)
	Burst                      // arrived in a burst: its stamp is not when it was measured
	Doubted                    // the source has not proved yet to be the one that is expected

	NotLine = Opened | Lost | Marked // one of them is there where a frame is no line of the device
)
