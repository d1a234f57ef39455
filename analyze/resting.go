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
	if another(r.volts, volts) {
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

// follow takes rows that follow each other. Once enough went before, all are alike.
func (r *resting) follow(rows []row) {
	for len(rows) > 0 {
		rows = rows[r.goOn(rows):]
		if len(rows) > 0 {
			r.push(rows[0].t, rows[0].v)
			r.show(rows[0].i)
			rows = rows[1:]
		}
	}
}

// goOn takes the rows of one battery that others went before, and gives how many they are.
func (r *resting) goOn(rows []row) (n int) {
	if r.rows < restingRows || r.watched.rows < restingRows {
		return 0
	}
	volts, amps := r.volts, r.amps
	for n < len(rows) && !another(volts, rows[n].v) {
		volts += (rows[n].v - volts) / restingRows
		amps += (rows[n].i - amps) / restingRows
		n++
	}
	if n > 0 {
		r.volts, r.amps = volts, amps
		r.watched.rows, r.watched.last = r.watched.rows+float64(n), rows[n-1].t
	}
	return n
}

// another reports whether a voltage is so far from what it was that it is another battery's, or none's.
func another(before, volts float64) bool {
	return math.Abs(volts-before) > looseJump*larger(volts, before)
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
