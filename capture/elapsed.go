package capture

import "time"

// Elapsed turns the stamps of a sequence of frames into seconds that can be
// integrated over, where the log carries no time of its own. The same frames
// give the same answers live and from the journal. The zero value is ready.
//
// Within one boot of the host the boot clock alone counts, so that a wall clock
// that jumps (from 1970 to now, when the network sets it) invents no charge.
// Only from one boot to the next must the wall clock bridge.
type Elapsed struct {
	begun   bool
	bootID  string
	wall    time.Time
	boot    time.Duration
	arrived time.Duration // elapsed when the last frame arrived
	at      time.Duration // elapsed when the last frame was measured, as far as known
	beat    beat
	beating bool // the last frame was a line that stands at its own time
}

// Next takes the next frame and the boot of the host it was stamped in, and tells when
// it was measured, as far as its stamps can tell: the time since the first frame, never
// less than that of the frame before. The opening and the loss of a source are moments
// too. A remark is none: the one that says that the host stood still comes before the
// lines that were measured meanwhile.
func (e *Elapsed) Next(f Frame, bootID string) time.Duration {
	step := max(0, f.Boot-e.boot)
	switch {
	case !e.begun:
		step, e.begun = 0, true
	case bootID != e.bootID:
		step, e.beating = bridge(e.wall, f.Wall), false
	}
	e.bootID, e.wall, e.boot = bootID, f.Wall, f.Boot
	e.arrived += step

	at := e.arrived
	if f.Flags&Marked != 0 {
		at = e.at
	} else if usual, ok := e.beat.mean(); ok && f.Flags&Burst != 0 {
		// The oldest line of a backlog comes first, and it followed the last
		// line before the freeze at the usual interval, which for records of
		// several lines is their share of it. Where the backlog did
		// not hold them all, the newest were lost: the gap comes after it.
		at = min(e.at+usual, e.arrived)
	}
	e.learn(f.Flags, step)
	e.at = at
	return at
}

// learn keeps the interval between two lines that both stand at their own time.
func (e *Elapsed) learn(flags Flags, step time.Duration) {
	beating := flags&^(Overlong|Fragment) == 0
	if beating && e.beating {
		e.beat.add(step)
	}
	e.beating = beating
}

// bridge is the wall time from one boot to the next; nothing where the wall clock cannot
// be right.
func bridge(from, to time.Time) time.Duration {
	if !ClockSet(from) || !ClockSet(to) || to.Before(from) {
		return 0
	}
	return to.Sub(from)
}
