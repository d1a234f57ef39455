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
	meters  [2]rhythm     // most sequences are of one
}

// rhythm is how the frames of one meter follow each other.
type rhythm struct {
	arrived time.Duration // elapsed when the last one arrived
	at      time.Duration // elapsed when it was measured, as far as known
	beat    beat
	beating bool // it was a line that stands at its own time
}

// Next takes the next frame and the boot of the host it was stamped in, and tells when
// it was measured, as far as its stamps can tell: the time since the first frame, never
// less than that of the frame before. The opening and the loss of a source are moments
// too. A remark is none: the one that says that the host stood still comes before the
// lines that were measured meanwhile.
func (e *Elapsed) Next(f Frame, bootID string) time.Duration { return e.NextOf(0, f, bootID) }

// NextOf is Next where the frames are of two meters, 0 and 1, each with a beat of its own.
// Where a backlog came of one, its time may be less than that of the frame before.
func (e *Elapsed) NextOf(meter int, f Frame, bootID string) time.Duration {
	step := max(0, f.Boot-e.boot)
	switch {
	case !e.begun:
		step, e.begun = 0, true
	case bootID != e.bootID:
		step = bridge(e.wall, f.Wall)
		e.meters[0].beating, e.meters[1].beating = false, false
	}
	e.bootID, e.wall, e.boot = bootID, f.Wall, f.Boot
	e.arrived += step
	return e.meters[meter].next(f.Flags, e.arrived)
}

// next takes the next frame of a meter.
func (r *rhythm) next(flags Flags, arrived time.Duration) time.Duration {
	at := arrived
	if flags&Marked != 0 {
		at = r.at
	} else if usual, ok := r.beat.mean(); ok && flags&Burst != 0 {
		// The oldest line of a backlog comes first, and it followed the last
		// line before the freeze at the usual interval, which for records of
		// several lines is their share of it. Where the backlog did
		// not hold them all, the newest were lost: the gap comes after it.
		at = min(r.at+usual, arrived)
	}
	r.learn(flags, arrived-r.arrived)
	r.at, r.arrived = at, arrived
	return at
}

// learn keeps the interval between two lines that both stand at their own time.
func (r *rhythm) learn(flags Flags, step time.Duration) {
	beating := flags&^(Overlong|Fragment) == 0
	if beating && r.beating {
		r.beat.add(step)
	}
	r.beating = beating
}

// bridge is the wall time from one boot to the next; nothing where the wall clock cannot
// be right.
func bridge(from, to time.Time) time.Duration {
	if !ClockSet(from) || !ClockSet(to) || to.Before(from) {
		return 0
	}
	return to.Sub(from)
}
