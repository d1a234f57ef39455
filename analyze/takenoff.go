package analyze

import "math"

// Whoever takes a battery off while nothing flows leaves the leads bare: its voltage is gone from one row to the next,
// and what the meter shows then is no rest of it. A lead that comes loose takes the current along; where a battery was
// seen without current for a while before it went, that had stopped for another reason, and there is nothing that a
// charger drives. So that is no fault, however the charge had ended. Common practice, no source.
type takenOff struct {
	rows   int  // in a row without it
	rested bool // it had been seen without current for a while
}

const takenRested = 120 // s: longer than a contact takes to be lost for good

// taken takes a row without current before the rest does, and reports whether the leads are bare in it; nothing is less
// than a battery shows, V.
func (r *rest) taken(m, stop *row, nothing float64) (bare bool) {
	if r.off.rows == 0 {
		r.off.rested = r.rows > 0 && r.to-stop.t >= takenRested
	}
	bare = m.v < nothing && m.v > -nothing || r.off.rested && r.last-m.v > restLeftMost*math.Abs(r.last)
	if !bare {
		r.off.rows = 0
		return false
	}
	r.off.rows++
	return true
}

// is reports whether a row is one without a battery that was taken off.
func (o *takenOff) is() bool { return o.rows > 0 && o.rested }

// takenAway reports whether the rest has ended since the battery is off the leads.
func (r *rest) takenAway() bool { return r.off.is() && r.off.rows >= looseRows }
