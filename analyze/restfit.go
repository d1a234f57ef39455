package analyze

import (
	"fmt"
	"math"
	"strings"
)

const (
	// Sooner than this nothing can be foretold; common practice asks for hours.
	leastRest = 30 * 60 // s

	// A state of charge less sure than this either way is not given.
	vagueState = 0.15
)

// restingBattery is what a rest has to know of what rests.
type restingBattery struct {
	identity
	celsius float64 // the last one known
	after   string  // what came before the rest
	before  bool    // it rests before a charge: nobody asks whether it is full
}

// fit says what the rest will come to; nil before there is one.
func (r *rest) fit(b *restingBattery, o *Options, volts *meter) *RestFit {
	return r.settles(b.after, o, volts).of(b)
}

func newRestFit(duration, last float64) *RestFit {
	return &RestFit{
		DurationS: Number(duration), LastV: Number(last),
		SettledV: Number(Unknown()), SettledVU95: Number(Unknown()), StateOfCharge: Number(Unknown()),
	}
}

// settles is what the rest will come to, whatever it is that rests; nil before there is one.
func (r *rest) settles(after string, o *Options, volts *meter) *RestFit {
	if r.rows < 2 {
		return nil
	}
	f := newRestFit(r.to-r.from, r.last)
	p := r.points(volts.noise(), volts.step())
	switch {
	case r.to-r.from < leastRest:
		f.Method = fmt.Sprintf("rest for %s: nothing can be foretold before %s", clock(r.to-r.from), clock(leastRest))
		return f
	case len(p) < leastPoints:
		f.Method = fmt.Sprintf("rest for %s in only %d rows: too few to tell how it settles", clock(r.to-r.from), r.rows)
		return f
	}
	s := r.settling(p, volts)
	u := math.Sqrt(s.u*s.u + squared(o.Voltage.u(s.volts, volts.step())) + squared(stuckDigit(volts.noise(), volts.step())))
	f.SettledV, f.SettledVU95 = Number(s.volts), Number(2*u)
	f.Method = fmt.Sprintf("foretold for %s after %s, from %s of rest: %s; with a share for what is slower than a fit can see%s. ",
		clock(max(settledAfter, r.to-r.from)), after, clock(r.to-r.from), s.models(), o.Voltage.words())
	return f
}

// settling is what a rest of so many rows comes to, by a meter of such noise and such a step, V.
type settling struct {
	rows        int
	noise, step float64
	settled     settled
}

// settling is worked out but once for the same rows: a rest after one charge is the rest before the next.
func (r *rest) settling(p []restPoint, volts *meter) *settled {
	if k := &r.known; k.rows != r.rows || k.noise != volts.noise() || k.step != volts.step() {
		*k = settling{r.rows, volts.noise(), volts.step(), settle(p, r.under)}
	}
	return &r.known.settled
}

// of is what the rest says of the battery that rested.
func (f *RestFit) of(b *restingBattery) *RestFit {
	if f == nil || !Known(f.SettledV) {
		return f
	}
	g := *f
	if b.heldUp(float64(g.SettledV - g.SettledVU95)) {
		g = *newRestFit(float64(f.DurationS), float64(f.LastV))
		g.Method = fmt.Sprintf("no rest: no lead-acid battery stands at %.2f V by itself for %s. A charger still holds it there, with less current than this meter shows; take it off to see how the battery rests", f.LastV, clock(float64(f.DurationS)))
		return &g
	}
	g.state(b)
	return &g
}

// heldUp reports whether a battery that will settle at so many volts at least does not
// rest, but is held.
func (b *restingBattery) heldUp(volts float64) bool {
	return b.chemistry.Lead() && b.cells > 0 && volts > leadByItself*float64(b.cells)
}

// u is the standard uncertainty of one reading, where an accuracy was stated. A
// meter nobody vouched for is taken at its word here: the guess that would stand
// in (1 %) is as much as all that a rest voltage can tell.
func (a Accuracy) u(reading, digit float64) float64 {
	return (a.Fraction*math.Abs(reading) + a.Digits*digit + a.Absolute) / math.Sqrt(3)
}

func (a Accuracy) words() string {
	if a == (Accuracy{}) {
		return "; as this meter reads, its accuracy not stated"
	}
	return "; meter " + a.String()
}

// models names what was believed, the most likely first where it matters.
func (s *settled) models() string {
	var names []string
	shares := make(map[string]float64)
	for k := range slowShapes {
		name := slowShapes[k].name
		if _, ok := shares[name]; !ok {
			names = append(names, name)
		}
		shares[name] += s.shares[k]
	}
	var parts []string
	for _, name := range names {
		parts = append(parts, fmt.Sprintf("%s %.0f %%", name, 100*shares[name]))
	}
	return "models weighed by evidence (" + strings.Join(parts, ", ") + ")"
}

// state reads the state of charge, where the settled voltage is sure enough, and
// whether a lead-acid battery is in order.
func (f *RestFit) state(b *restingBattery) {
	v, u := float64(f.SettledV), float64(f.SettledVU95)
	_, told := ocvTables[b.chemistry]
	switch {
	case b.chemistry == "":
		f.Method += "State of charge unknown: so is the chemistry"
		return
	case !told:
		f.Method += fmt.Sprintf("State of charge not given: the rest voltage of %s is flat and says nothing", b.chemistry)
		return
	case b.cells == 0:
		f.Method += "State of charge unknown: so is the number of cells"
		return
	}
	if b.chemistry.Lead() && !b.before {
		f.Method += healthy(v, u, b.cells) + ". "
	}
	s, _ := StateOfCharge(b.chemistry, v, b.cells, b.celsius)
	low, high, kinds := b.states(v-u, v+u)
	if high.Most()-low.Least() > 2*vagueState {
		f.Method += fmt.Sprintf("State of charge not given: %.0f to %.0f %% would all fit; table: %s%s", 100*low.Least(), 100*high.Most(), s.Table, kinds)
		return
	}
	f.StateOfCharge = Number(s.Fraction)
	f.Method += fmt.Sprintf("State of charge %.0f %%, anything from %.0f to %.0f %% would fit; table: %s%s", 100*s.Fraction, 100*low.Low, 100*high.High, s.Table, kinds)
	if s.Note != "" {
		f.Method += "; " + s.Note
	}
}

// states is the state of charge at the least and the most that the voltage may
// be. Where the kind of lead-acid was only guessed, all kinds' tables count; those of li-ion
// always do.
func (b *restingBattery) states(least, most float64) (low, high RestState, kinds string) {
	low, _ = StateOfCharge(b.chemistry, least, b.cells, b.celsius)
	high, _ = StateOfCharge(b.chemistry, most, b.cells, b.celsius)
	switch {
	case len(low.Kinds) > 1:
		return low, high, ", since the label does not say which kind of cell it is"
	case !b.inferred:
		return low, high, ""
	}
	for _, c := range []Chemistry{LeadFlooded, LeadAGM, LeadGel} {
		if s, _ := StateOfCharge(c, least, b.cells, b.celsius); s.Fraction < low.Fraction {
			low = s
		}
		if s, _ := StateOfCharge(c, most, b.cells, b.celsius); s.Fraction > high.Fraction {
			high = s
		}
	}
	return low, high, ", or another kind's, since which kind of lead-acid it is was only guessed"
}

// healthy puts a settled voltage against "12.6 V or a little more".
func healthy(volts, u95 float64, cells int) string {
	full := healthyFull * float64(cells)
	switch {
	case HealthyAndFull(volts-u95, cells):
		return fmt.Sprintf("At least %.1f V once settled: healthy and full (common practice)", full)
	case HealthyAndFull(volts+u95, cells):
		return fmt.Sprintf("%.1f V, healthy and full in common practice, lies within the uncertainty", full)
	}
	return fmt.Sprintf("Less than the %.1f V of a healthy, full battery (common practice)", full)
}
