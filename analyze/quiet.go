package analyze

import "math"

// quiet adds up what flows while nothing seems to: row by row it is all noise,
// but over some minutes noise averages out, and a small steady drain (an alarm
// system, a solar controller) shows. A flicker of the last digit does not: its
// mean is less than a digit, which only a display that stands there reaches.
type quiet struct {
	charge  float64 // C
	energy  float64 // J
	seconds float64
	rows    int
}

const (
	quietRows    = 512
	quietSeconds = 3600
)

// add takes an interval whose rows are both inside the zero band. It reports
// whether enough has come together to say what flowed.
func (q *quiet) add(iv *interval) (enough bool) {
	q.count(iv.a, iv.b)
	return q.rows >= quietRows || q.seconds >= quietSeconds
}

// count takes an interval that does not bring enough together yet.
func (q *quiet) count(a, b *row) {
	dt := b.t - a.t
	c := (a.i + b.i) / 2 * dt
	q.charge += c
	q.energy += c * b.v
	q.seconds += dt
	q.rows++
}

// take says what flowed so far, and starts anew. What the meter shows without current, where
// that is known to be more than nothing, is no current, A.
func (q *quiet) take(noise, step, zero float64) totals {
	d := *q
	*q = quiet{}
	if d.rows == 0 {
		return totals{}
	}
	mean := d.charge / d.seconds
	least := max(0.95*step, 4*noise/math.Sqrt(float64(d.rows)))
	if math.Abs(mean) < least || mean > 0 && mean < zero+least {
		return totals{}
	}
	if mean > 0 {
		return totals{in: d.charge, energy: d.energy}
	}
	return totals{out: -d.charge, given: -d.energy}
}
