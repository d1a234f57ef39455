package daemon

import (
	"time"

	"amphora/analyze"
	"amphora/capture"
)

// A host without a battery for its clock begins in 1970, or where it was shut down, and goes
// on from there until the network sets it. 1970 is seen to be no date; the other is known to
// have been none only when the clock is set forth. What came since the boot is then dated by
// the new clock.

// setForth is by how much a clock is set forth that had stood still. One that runs is steered,
// or was off by minutes at most.
const setForth = 10 * time.Minute

// dating watches for that.
type dating struct {
	boot  string // of the last frame, with its stamps
	wall  time.Time
	at    time.Duration
	fresh bool    // no row has come in this boot
	since float64 // of the machine: the first row of this boot, s
	wrong bool    // the clock was set forth, and no line has come since
}

// frame looks at the stamps of a frame, and tells whether it is a line that knows the date
// better than those before it. One of a backlog was measured before it was stamped.
func (d *dating) frame(f *capture.Frame, boot string) (better bool) {
	if d.boot == boot {
		d.wrong = d.wrong || f.Wall.Sub(d.wall)-(f.Boot-d.at) >= setForth
	} else {
		d.wrong, d.fresh = false, d.boot != ""
	}
	d.boot, d.wall, d.at = boot, f.Wall, f.Boot
	if !d.wrong || f.Flags&(capture.NotLine|capture.Burst) != 0 {
		return false
	}
	d.wrong = false
	return true
}

// row takes the time of a row.
func (d *dating) row(t float64) {
	if d.fresh {
		d.fresh, d.since = false, t
	}
}

// dateAnew dates what is told by the clock as it is set now, unless a charge goes on that began
// in an earlier boot: how long the host was off nobody knows but from the dates before.
func (s *story) dateAnew() {
	all := s.machine.Document().Sessions
	last := &all[len(all)-1]
	if last.Outcome == analyze.NoCharge || !s.dates.fresh && float64(last.StartS) >= s.dates.since {
		s.machine.DateAnew()
	}
}
