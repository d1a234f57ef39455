package condition

import (
	"fmt"
	"math"
	"slices"

	"amphora/analyze"
)

const (
	referenceCelsius = 25.0
	likeCelsius      = 5.0  // K either way that count as like temperature
	likeCharge       = 0.25 // share of the usual charge either way that counts as like depth
	nearEdge         = 120  // s from the beginning or end of the current
	coldestToWarmest = 20   // K that the seasons of a shed swing, if nobody measured (common practice, no source)

	// Only one source is known for the slope against temperature: allow for half
	// of it being wrong.
	warmthDoubt = 0.5
)

// leadWarmth is by how much a lead-acid battery's resistance falls per kelvin:
// +30 to -18 °C is about +50 % (reference, section 8, I2), evenly in the logarithm.
var leadWarmth = math.Log(1.5) / 48

// resistances are the series of resistance, each at a state of charge of its own:
// an empty lead-acid battery has some 40 % more than a full one (reference,
// section 8, I2), so one must not be held against the other.
func (h *history) resistances() []*series {
	full := &series{quantity: ResistanceFull, name: "resistance at the end of a full charge", unit: "mohm"}
	start := &series{quantity: ResistanceStart, name: "resistance at the start of a charge", unit: "mohm"}
	hand := &series{quantity: ResistanceByHand, name: "resistance noted by hand", unit: "mohm", notes: []string{"the state of charge at the time is not known"}}
	direct := h.direct()
	usual := h.usualCharge()
	for _, c := range h.charges {
		if r, ok := surest(c.Resistance, float64(c.EndS)); ok && c.Outcome == analyze.Complete {
			full.seen(c, r.AtS, 1000*float64(r.Ohm), 1000*float64(r.OhmU95))
		}
		r, ok := surest(c.Resistance, float64(c.StartS))
		like := c.Outcome == analyze.Complete && math.Abs(taken(c)-usual) <= likeCharge*usual
		switch {
		case ok && like:
			start.seen(c, r.AtS, 1000*float64(r.Ohm), 1000*float64(r.OhmU95))
		case ok:
			start.leftOut++
		}
	}
	start.notes = append(start.notes, fmt.Sprintf("charges of the usual size within %.0f %%, so that the battery was about as empty", 100*likeCharge))
	for k := range h.readings {
		hand.noted(&h.readings[k], 1000*h.readings[k].Ohm)
	}
	list := []*series{full, start, direct, hand}
	for _, s := range list {
		s.atLikeTemperature(h.battery.Chemistry)
	}
	return list
}

// direct is the direct current resistance when a charge begins, of those that were read as many
// seconds after it as most. How empty the battery was, and how long it had rested, move it more
// than what it answers at once.
func (h *history) direct() *series {
	s := &series{quantity: ResistanceDirect, unit: "mohm"}
	counts, most := map[analyze.Number]int{}, analyze.Number(0)
	for _, c := range h.charges {
		if r, ok := beginningOf(c); ok {
			if counts[r.Seconds]++; counts[r.Seconds] > counts[most] {
				most = r.Seconds
			}
		}
	}
	s.name = fmt.Sprintf("resistance over the first %.0f s of a charge", most)
	usual := h.usualCharge()
	for _, c := range h.charges {
		switch r, ok := beginningOf(c); {
		case ok && r.Seconds == most && c.Outcome == analyze.Complete && math.Abs(taken(c)-usual) <= likeCharge*usual:
			s.seen(c, r.AtS, 1000*float64(r.Ohm), 1000*float64(r.OhmU95))
		case ok:
			s.leftOut++
		}
	}
	s.notes = append(s.notes, fmt.Sprintf("charges of the usual size within %.0f %%; what polarises in %.0f s is in it, so it shows a rise late", 100*likeCharge, most))
	return s
}

// beginningOf is the resistance that a charge showed when it began.
func beginningOf(c *analyze.Session) (best analyze.DirectResistance, ok bool) {
	for _, r := range c.DirectResistance {
		if math.Abs(float64(r.AtS-c.StartS)) <= nearEdge && !ok {
			best, ok = r, true
		}
	}
	return best, ok
}

// usualCharge is what complete charges take, Ah.
func (h *history) usualCharge() float64 {
	var in []float64
	for _, c := range h.complete() {
		in = append(in, taken(c))
	}
	return median(in)
}

// surest is the best known of the resistances seen near a moment.
func surest(all []analyze.Resistance, at float64) (best analyze.Resistance, ok bool) {
	for _, r := range all {
		if math.Abs(float64(r.AtS)-at) <= nearEdge && known(r.Ohm) && (!ok || r.OhmU95 < best.OhmU95) {
			best, ok = r, true
		}
	}
	return best, ok
}

// atLikeTemperature leads a lead-acid battery's resistances to 25 °C. For other
// kinds no slope was found published, so those at the usual temperature stay.
// Where hardly any temperature was measured, all stay and the doubt grows.
func (s *series) atLikeTemperature(c analyze.Chemistry) {
	var warm []float64
	for _, p := range s.points {
		if analyze.Known(p.celsius) {
			warm = append(warm, p.celsius)
		}
	}
	if 2*len(warm) < len(s.points) {
		s.doubt = math.Expm1(leadWarmth * coldestToWarmest)
		s.notes = append(s.notes, fmt.Sprintf("temperature not recorded: a swing of %d K alone makes about %.0f %% of a lead-acid battery's", coldestToWarmest, 100*s.doubt))
		return
	}
	usual := median(warm)
	before := len(s.points)
	s.points = slices.DeleteFunc(s.points, func(p observation) bool {
		return !analyze.Known(p.celsius) || !c.Lead() && math.Abs(p.celsius-usual) > likeCelsius
	})
	s.leftOut += before - len(s.points)
	if !c.Lead() {
		if len(s.points) > 0 {
			s.notes = append(s.notes, fmt.Sprintf("those at %.0f °C within %.0f K", usual, likeCelsius))
		}
		return
	}
	s.warmth = leadWarmth
	for k := range s.points {
		p := &s.points[k]
		led := math.Exp(leadWarmth * (p.celsius - referenceCelsius))
		p.value, p.u95 = p.value*led, p.u95*led
		s.celsius = append(s.celsius, p.celsius)
	}
	s.notes = append(s.notes, fmt.Sprintf("led to %.0f °C by %.2f %% per kelvin", referenceCelsius, 100*leadWarmth))
}
