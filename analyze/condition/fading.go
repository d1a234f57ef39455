package condition

import (
	"fmt"
	"math"

	"amphora/analyze"
)

const (
	deepStep    = 0.50
	fullCharges = 5    // of which the median counts
	fullDoubt   = 0.07 // of the state of charge when full: the table's tolerance, 0.05 V of 12 V

	nearFade   = 1 - replaceCapacity
	ageingFade = nearFade / 2 // common practice, no source
)

// acidOnly is why no lead-acid battery is cleared by this: its rest voltage is the density of its
// acid (leadByItself in soc.go), whatever its plates can still make of it.
const acidOnly = "the voltage of lead-acid tells of its acid; what is lost with plates that shed or corrode does not show in this"

// capacities is the capacity that each complete charge from a known state of charge tells. What is
// wrong with the table, the meter and the charge factor is wrong in all of them, so that they tell
// a change well that they tell the size of badly.
func (h *history) capacities() *series {
	s := &series{quantity: CapacityByCharge, name: "capacity by charges from a known state", unit: "Ah"}
	factor, ok := analyze.ChargeFactorOf(h.battery.Chemistry)
	if !ok {
		return s
	}
	for k, c := range h.charges {
		from, ok := h.before(k)
		if c.Outcome != analyze.Complete || !ok || !analyze.Known(taken(c)) {
			continue
		}
		to, least := h.full(k)
		step := to - from.state
		if step < least {
			s.leftOut++
			continue
		}
		ah := func(state float64) float64 { return taken(c) / factor.Stated / max(to-state, tableDoubt) * to }
		s.seen(c, c.StartS, ah(from.state), math.Hypot(float64(c.ChargeInAhU95)/factor.Stated/step, ah(from.state)*from.u95/step))
		for kind := range from.kinds {
			s.readAs(kind, ah(from.kinds[kind]))
		}
	}
	// A battery may come to need more charge for each that it gives, or less, as it ages: half of
	// what kinds differ by.
	s.doubt = (factor.High - factor.Low) / factor.Stated / 2
	s.notes = append(s.notes, fmt.Sprintf("complete charges of a battery that was emptied by %.0f %% or more, by its voltage before them", 100*leastStep))
	if h.battery.Chemistry.Lead() {
		s.doubt = math.Hypot(s.doubt, fullDoubt)
		s.notes = append(s.notes, acidOnly)
	}
	return s
}

// full is the state of charge that complete charges came to by then, as the table has it, and how
// far a charge must have come to tell the capacity. A sulphated battery rests lower when it is
// full, as some of its acid does not come back: that it is full and yet stands lower is what is
// lost, and not that what went in was little. Where no rest told, only deep charges keep the two apart.
func (h *history) full(k int) (state, least float64) {
	if !h.battery.Chemistry.Lead() {
		return 1, leastStep
	}
	var states []float64
	for ; k >= 0 && len(states) < fullCharges; k-- {
		s := h.charges[k]
		if r := s.Rest; s.Outcome == analyze.Complete && r != nil && r.SettledVU95 <= vagueRest {
			if q, ok := analyze.StateOfCharge(h.battery.Chemistry, float64(r.SettledV), h.battery.Cells, float64(s.MaxCelsius)); ok {
				states = append(states, q.Fraction)
			}
		}
	}
	if len(states) == 0 {
		return 1, deepStep
	}
	return median(states), leastStep
}

// taken is what went into a battery until it was full, Ah: what holds it full is not counted.
func taken(s *analyze.Session) float64 {
	in := float64(s.ChargeInAh)
	if s.Outcome != analyze.Complete {
		return in
	}
	for _, g := range s.Stages {
		if g.Stage == analyze.Finish && analyze.Known(g.ChargeAh) {
			in -= float64(g.ChargeAh)
		}
	}
	return in
}

// fadeEvidence judges the capacity by how it has changed since the first charges that tell it.
func (h *history) fadeEvidence(trends []Trend) (Evidence, bool) {
	t := told(trends, CapacityByCharge)
	if t == nil {
		return Evidence{}, false
	}
	e := Evidence{Quantity: t.Quantity, State: NotEnoughData, Source: capacitySource}
	e.Text = fmt.Sprintf("%s (counted from the first of %d observations, not from new; %s)", t.Words, len(t.Points), t.Note)
	switch change, low, high := float64(t.Change), float64(t.ChangeLow), float64(t.ChangeHigh); {
	case high < -nearFade:
		e.State = Replace
	case high < 0 && change <= -nearFade:
		e.State = NearReplacement
	case high < -ageingFade/2 && change <= -ageingFade:
		e.State = Ageing
	case low >= -nearFade && !h.battery.Chemistry.Lead():
		e.State = NoSign
	}
	return e, true
}
