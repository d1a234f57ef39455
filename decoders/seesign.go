package decoders

import (
	"fmt"
	"math"
)

// untold is said of a current whose sign the lines do not tell.
const untold = "positive is taken as charging, nothing in the lines tells"

// Rows are the voltage, V, and the current, A, of the rows that a log begins with; NaN is not
// known.
type Rows struct {
	volts, amps column
	lowest      float64 // A, since there were any
	highest     float64
	asked       struct {
		rows            int // when the sign was last asked for
		lowest, highest float64
	}
}

// Add puts a row behind the others.
func (r *Rows) Add(volts, amps float64) {
	if len(r.amps.x) == 0 {
		r.lowest, r.highest = math.Inf(1), math.Inf(-1)
	}
	r.volts.x, r.amps.x = append(r.volts.x, volts), append(r.amps.x, amps)
	if amps < r.lowest {
		r.lowest = amps
	}
	if amps > r.highest {
		r.highest = amps
	}
}

// MayTell reports whether it is worth to ask again which way the current counts: it has gone
// half as far again, in all, as when that was last asked, or there are twice as many rows.
func (r *Rows) MayTell() bool {
	room := (r.asked.highest - r.asked.lowest) / 4
	return len(r.amps.x) >= 2*r.asked.rows || r.lowest < r.asked.lowest-room || r.highest > r.asked.highest+room
}

// SeeSign looks at more rows than Fit was given lines, as its layout read them, for which
// way the current counts: a log may begin with an hour of rest. True where they tell it; the
// layout then reads the current so.
func (f *Fitted) SeeSign(rows *Rows) bool {
	field := f.Layout.Field(Amps)
	if field == nil {
		return false
	}
	volts, amps := &rows.volts, &rows.amps
	rows.asked.rows, rows.asked.lowest, rows.asked.highest = len(amps.x), rows.lowest, rows.highest
	volts.measure(volts.x)
	amps.measure(amps.x)
	inverted, strength, why := signOf(volts, amps)
	if strength < 1 {
		return false
	}
	f.Told = true
	told := "it counts into the battery"
	if inverted {
		field.Negate = !field.Negate
	}
	if field.Negate {
		told = "it counts out of the battery"
	}
	for i, e := range f.Evidence {
		if at := len(e) - len(untold); at >= 0 && e[at:] == untold {
			f.Evidence[i] = fmt.Sprintf("%s%s: further on %s", e[:at], told, why)
		}
	}
	f.Setting, f.Columns = f.Layout.String(), f.Layout.Describe()
	return true
}
