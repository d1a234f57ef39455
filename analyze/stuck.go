package analyze

import (
	"fmt"
	"math"
)

// stuck notices that one of two readings hangs while the other lives: where voltage and current
// come from two converters, or two meters, one may stop alone. Readings that repeat are no fault by
// themselves. But a current that fell steadily at a held voltage, by many digits and right up to it,
// cannot stand at once, nor can a voltage that rose so under a current that stays, as long as the
// display is so fine that no regulator and no battery keeps to its last digit. Where the current falls
// a limit has come, which does hold the voltage. Common practice, no source.
type stuck struct {
	volts, amps repeats
	which       hanging // at present
	was         hanging // the last time that readings hung
}

// hanging is what hangs.
type hanging int

const (
	bothHang hanging = iota // or nothing
	voltsHang
	ampsHang
)

// of is the reading that hangs alone.
func (u *stuck) of(which hanging) *repeats {
	if which == voltsHang {
		return &u.volts
	}
	return &u.amps
}

// repeats is one reading that repeats.
type repeats struct {
	x     float64
	t     float64 // s, of the last row
	since float64 // s, of the first of the equal ones
	run   int     // repeats of it
}

// stuckFine is the last digit of a voltmeter, as a share of what it shows, up to which nothing stands to it.
const stuckFine = 2e-4

func (q *repeats) push(t, x float64) {
	switch {
	case x != q.x:
		q.x, q.run = x, 0
	case q.run == 0:
		q.since, q.run = q.t, 1
	default:
		q.run++
	}
	q.t = t
}

// follow takes rows that follow each other. What came before the last that differ is of no account.
func (u *stuck) follow(rows []row) {
	last := len(rows) - 1
	v, i := last, last
	for v > 0 && rows[v].v == rows[last].v {
		v--
	}
	for i > 0 && rows[i].i == rows[last].i {
		i--
	}
	for k := v; k <= last; k++ {
		u.volts.push(rows[k].t, rows[k].v)
	}
	for k := i; k <= last; k++ {
		u.amps.push(rows[k].t, rows[k].i)
	}
}

// candidate is the reading that may stand alone, as far as that can be told.
func (u *stuck) candidate(s *sight) hanging {
	tr := &s.c.trace
	now := tr.ending(0, s.end, 4, flatBlock)
	switch h := &s.c.hold; {
	case h.found && now.v > h.volts+h.slack:
		return bothHang // a charger that lifts a full battery further sets the current
	case h.found:
		return ampsHang
	}
	then := tr.blockOf(tr.index(u.volts.since), tr.index(u.volts.since)+1)
	if s.volts.step() > stuckFine*u.volts.x || math.Abs(now.i-then.i) > heldFall*then.i {
		return bothHang
	}
	return voltsHang
}

func (u *stuck) message() string {
	what, shown := "voltage", fmt.Sprintf("%.5g V", u.of(u.which).x)
	if u.which == ampsHang {
		what, shown = "current", fmt.Sprintf("%.4g A", u.of(u.which).x)
	}
	return fmt.Sprintf("the %s is the same since %s (%s), %d readings in a row, although it had moved steadily until then, and the other reading lives: that meter, or its part of the logger, hangs. What it says must not be trusted; look at its display, and start it again", what, clock(u.of(u.which).since), shown, u.of(u.which).run+1)
}
