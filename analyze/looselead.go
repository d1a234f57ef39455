package analyze

import (
	"fmt"
	"math"
)

// looseLead notices that no battery hangs on the leads any more: no current
// flows, and the voltage does what a battery's cannot. A battery left alone
// sinks slowly from the charging voltage to its rest; it never rises above the
// charger's limit, never falls to nothing, nor soon far below what it was before anything went in,
// and never jumps to and fro. Nor does it stay
// where it was held: whatever drove a large current into it falls away within minutes,
// so that a voltage which stands is the charger's own. It clears when current flows
// again. Thresholds: common practice, no source.
type looseLead struct {
	last   float64
	before float64 // the row before the last
	n      int
	above  int // rows in a row above what the charger held
	gone   int // rows in a row near nothing
	kept   int // rows in a row at the voltage that was held
	jumps  int
	up     bool // the last
	still  int  // rows since
	since  float64
	reason string
}

const (
	looseAbove = 0.015 // of the highest voltage under charge
	looseGone  = 0.25  // of it
	looseFar   = 0.85  // of the voltage at rest before the charge: no battery sinks so far in an hour after one
	looseHour  = 3600  // s
	looseJump  = 0.08  // of it, from one row to the next; a battery drops no more than once like that
	looseRows  = 3
	looseLeast = 1      // V, about what a flat cell has: with less than that on them the leads hang in the air, and show hum or the meter's last digits
	looseStill = 30     // rows after which a jump is forgotten: another battery, say
	looseKept  = 300    // s that the held voltage must stand without current
	looseSunk  = 0.0005 // of it: what any battery sinks meanwhile

	looseScatter = 5 // times the noise: no row of some hundred lies so far off
	looseLongest = 5 // times as long a coarse meter may have to be watched
)

// push takes a row without current, and what a battery would show; rows is how many it takes.
func (l *looseLead) push(r *row, b *attached, rows int) (found bool) {
	if l.reason != "" {
		return true
	}
	highest := b.highest
	l.leap(r, math.Abs(highest))
	l.count(&l.above, r.v > b.most, r.t)
	l.count(&l.gone, r.v < larger(b.least, highest*looseGone) && r.v > -highest*looseGone && !b.done, r.t)
	l.count(&l.kept, r.v > b.standing && !b.done, r.t)
	l.n++
	l.before, l.last = l.last, r.v
	switch {
	case l.above >= rows:
		l.reason = fmt.Sprintf("no current, yet the voltage rose to %.2f V, above the %.2f V of the charge", r.v, highest)
	case l.gone >= rows:
		l.reason = fmt.Sprintf("no current, and the voltage fell to %.2f V", r.v)
	case l.kept >= rows && l.above == 0 && r.t-l.since >= b.within:
		l.reason = fmt.Sprintf("no current for %s, yet the voltage stands at %.2f V, where a battery's sinks", clock(r.t-l.since), r.v)
	case l.jumps >= rows && !b.done:
		l.reason = fmt.Sprintf("no current, and the voltage jumps about, %d times so far", l.jumps)
	}
	return l.reason != ""
}

// calm reports whether nothing speaks for a loose lead.
func (l *looseLead) calm() bool {
	return l.reason == "" && l.above == 0 && l.gone == 0 && l.kept == 0
}

// follow takes rows that do not speak for one either.
func (l *looseLead) follow(rows []row) {
	l.n += len(rows)
	l.still += len(rows)
	l.before, l.last = l.last, rows[len(rows)-1].v
	if len(rows) > 1 {
		l.before = rows[len(rows)-2].v
	}
}

// leap counts the jumps by a good part of the highest voltage, V. One row alone that stands
// off its neighbours is a spoilt line.
func (l *looseLead) leap(r *row, highest float64) {
	if l.still++; l.still > looseStill {
		l.jumps = 0
	}
	most := looseJump * highest
	up := r.v > l.last
	switch {
	case l.n == 0 || highest < looseLeast || math.Abs(r.v-l.last) <= most:
	case l.still == 1 && l.jumps > 0 && up == l.up: // the same one, as a meter shows it that averages
		l.still = 0
	case l.still == 1 && math.Abs(r.v-l.before) <= most/2:
		l.jumps--
	default:
		l.jumps, l.still, l.up = l.jumps+1, 0, up
		l.mark(l.jumps == 1 && l.above == 0, r.t)
	}
}

// charging takes a row with current: a lead that works loose shows first as a
// voltage above what the charger holds, while the current falls away. highest is what
// it has held a current at, V.
func (l *looseLead) charging(r *row, highest float64) {
	l.count(&l.above, r.v > highest*(1+looseAbove), r.t)
}

func (l *looseLead) count(n *int, yes bool, t float64) {
	if !yes {
		*n = 0
		return
	}
	*n++
	l.mark(*n == 1 && l.jumps == 0 && l.above+l.gone+l.kept == 1, t)
}

func (l *looseLead) mark(first bool, t float64) {
	if first {
		l.since = t
	}
}

func (l *looseLead) message() string {
	return l.reason + ": the battery is off, or a lead has come loose" + lookAtTheClamps
}
