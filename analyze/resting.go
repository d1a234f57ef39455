package analyze

import "math"

// resting is the voltage of a battery without current, smoothed over some rows:
// what it says just before a charge tells how empty it is; and the current that the
// meter shows then, which is its zero.
type resting struct {
	volts, amps float64
	rows        float64
	watched     watched // for how long, and how it moved
}

const (
	restingRows = 8
	openLeads   = 0.05 // of the voltage under charge: with less before it there was no battery on the leads
)

func (r *resting) push(t, volts float64) {
	if math.Abs(volts-r.volts) > looseJump*larger(volts, r.volts) { // another battery, or none
		if r.rows > 0 && r.watched.rows > 0 { // what it was before a charge is no measure of what comes after
			r.watched = watched{}
		}
		r.rows = 0
	}
	r.rows = smaller(r.rows+1, restingRows)
	r.volts += (volts - r.volts) / r.rows
	r.watched.row(t, r.volts)
}

// show takes what the meter showed in the same row.
func (r *resting) show(amps float64) { r.amps += (amps - r.amps) / r.rows }

func (r *resting) follow(rows []row) {
	for k := range rows {
		r.push(rows[k].t, rows[k].v)
		r.show(rows[k].i)
	}
}

// unbroken takes the rows of what seemed a charge and was the meter's zero: the battery stood on.
func (r *resting) unbroken(c *charge) {
	after := *r
	*r = c.stood
	for k := range c.trace.bins {
		b := &c.trace.bins[k]
		r.push(b.t(), b.v())
		r.show(b.i())
	}
	if after.watched.rows > 0 {
		r.push(after.watched.last, after.volts)
		r.show(after.amps)
	}
}

// zero is the meter's, A, if enough rows tell.
func (r *resting) zero() (amps float64, ok bool) { return r.amps, r.rows >= restingRows/2 }

// before is that voltage, V, as seen from the first row with current; NaN where there was
// no row without current, or no battery in it.
func (r *resting) before(volts float64) float64 {
	if r.rows == 0 || r.volts < openLeads*volts {
		return Unknown()
	}
	return r.volts
}
