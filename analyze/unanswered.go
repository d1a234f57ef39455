package analyze

import "fmt"

// unanswered notices that a charger tries and no battery takes its current: the voltage rises
// from nothing for some seconds, with hardly more than a trickle, and is gone again. Leads that
// hang in the air before the clamps are on look the same for a while, and whoever sets a
// charger's voltage with open clamps fetches the battery next, so it is told only after an hour.
// A battery that is looked at for a moment has no current. It clears as soon as a voltage
// stays. Thresholds: common practice, no source.
type unanswered struct {
	since  float64 // s, when the voltage first was gone again
	driven float64 // V, what the charger had shown; 0 where none has tried

	up   float64 // s, since when there is a voltage
	rows int     // with one
	amps float64 // sum of their currents, A
	most float64 // V, of them
	last float64 // V
}

const (
	unansweredFor = 3600 // s
	triesFor      = 60   // s at most
	triesRows     = 2    // at least: one alone is a spoilt line
)

// push takes a row while no charge is under way, and gives since when, s, and what is to be told. least is a current that
// counts as flowing, A.
func (u *unanswered) push(r *row, least, patience float64) (since float64, message string) {
	switch {
	case u.rows > 0 && r.v >= looseGone*u.most:
		if r.t-u.up > triesFor { // a battery
			*u = unanswered{}
			break
		}
		u.rows, u.amps, u.most = u.rows+1, u.amps+r.i, larger(u.most, r.v)
	case u.rows > 0:
		if u.rows >= triesRows && u.amps >= least*float64(u.rows) {
			if u.driven == 0 {
				u.since = r.t
			}
			u.driven = u.most
		}
		u.rows = 0
	case r.v >= looseLeast && u.last < looseGone*r.v:
		u.up, u.rows, u.amps, u.most = r.t, 1, r.i, r.v
	case u.driven > 0 && r.v >= looseGone*u.driven:
		*u = unanswered{}
	}
	u.last = r.v
	if u.driven == 0 || r.t-u.since < unansweredFor*patience {
		return 0, ""
	}
	return u.since, fmt.Sprintf("the charger showed %.2f V, nothing took its current, and since then there have been less than %.2f V: "+
		"no battery hangs on the leads, or one of them is off", u.driven, looseGone*u.driven) + lookAtTheClamps
}
