package analyze

import (
	"fmt"
	"math"
)

// untouched notices that a charger is on from the first and its clamps do not touch: the voltage
// stands where no battery of that kind stands by itself, and nothing flows, though the meter
// would show what even a full one takes there. Common practice, no source.
type untouched struct {
	since float64 // s, since when it has stood there
	is    bool
}

const (
	untouchedFor  = 600          // s
	untouchedLead = 2.30         // V a cell; without current a full battery is below that within minutes
	untouchedIron = 3.50         // V a cell of LiFePO4, likewise
	untouchedSees = 0.001 / 3600 // of capacity in a second: what a full battery takes at its limit
)

// aloneAbove is the voltage above which no battery of a kind stands by itself, V; beyond all
// voltages where one may.
func aloneAbove(o *Options) float64 {
	switch n := float64(o.Cells); {
	case n == 0:
	case o.Chemistry.Lead():
		return n * untouchedLead
	case o.Chemistry == LiFePO4:
		return n * untouchedIron
	}
	return math.Inf(1)
}

// push takes a row while no charge is under way, and gives since when, s, and what is to be told. digit is the meter's
// last, A.
func (u *untouched) push(r *row, o *Options, digit, patience float64) (since float64, message string) {
	if r.v < aloneAbove(o) || math.Abs(r.i) > digit || digit > untouchedSees*o.Capacity {
		u.is = false
		return 0, ""
	}
	if !u.is {
		u.is, u.since = true, r.t
	}
	if r.t-u.since < untouchedFor*patience {
		return 0, ""
	}
	return u.since, fmt.Sprintf("the voltage has stood at %.2f V for %s, where no battery of this kind stands by itself, and nothing flows: "+
		"the clamps do not touch, a fuse is open, or the battery's own electronics are", r.v, clock(r.t-u.since)) + lookAtTheClamps
}
