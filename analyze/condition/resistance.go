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
		if math.Abs(float64(r.AtS)-at) <= nearEdge && analyze.Known(r.Ohm) && (!ok || r.OhmU95 < best.OhmU95) {
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

// What the resistance of a lead-acid battery may rise to. Sources disagree: a
// power-supply guide that names IEEE 1188-2025 has +20 %; +30 to +50 % is what
// its older edition is remembered to say. So from 20 % on a change is near the
// limit, and only one that is surely beyond the next 30 % calls for replacement.
const (
	nearRise    = 0.20
	replaceRise = 0.30
	mostRise    = 0.50
	ageingRise  = 0.10
)

// riseSource is who says so.
func (h *history) riseSource() string {
	if !h.battery.Chemistry.Lead() {
		return "no published limit was found for this chemistry"
	}
	return "sources disagree: +20 % (a power-supply guide naming IEEE 1188-2025), +30 to +50 % (from memory of an older edition)"
}

// resistanceTrend is the series of resistance that tells most: the one with the most points, or,
// where that has too few, that of direct current.
func resistanceTrend(trends []Trend) (t *Trend) {
	var direct *Trend
	for k := range trends {
		switch trends[k].Quantity {
		case ResistanceFull, ResistanceStart, ResistanceByHand:
			if t == nil || len(trends[k].Points) > len(t.Points) {
				t = &trends[k]
			}
		case ResistanceDirect:
			direct = &trends[k]
		}
	}
	if t == nil || direct != nil && direct.Enough && !t.Enough {
		return direct
	}
	return t
}

// resistanceEvidence judges the resistance. What polarises in some seconds hides a rise of that
// of direct current: it clears no battery, and none is replaced for it.
func (h *history) resistanceEvidence(trends []Trend) (Evidence, bool) {
	t := resistanceTrend(trends)
	if t == nil {
		return Evidence{}, false
	}
	e := Evidence{Quantity: t.Quantity, State: NotEnoughData, Text: t.Words, Source: h.riseSource()}
	if !t.Enough {
		e.Source = ""
		return e, true
	}
	change, low, high := float64(t.Change), float64(t.ChangeLow), float64(t.ChangeHigh)
	if !h.battery.Chemistry.Lead() {
		if low > ageingRise {
			e.State = Ageing
		} else if high < nearRise && t.Quantity != ResistanceDirect {
			e.State = NoSign
		}
		return e, true
	}
	signs := fmt.Sprintf("the %.0f to %.0f %% that sources take as a sign to replace", 100*nearRise, 100*mostRise)
	switch {
	case low >= replaceRise && t.Quantity != ResistanceByHand && t.Quantity != ResistanceDirect:
		e.State, e.Text = Replace, e.Text+": inside or beyond "+signs
	case low > 0 && change >= nearRise:
		e.State, e.Text = NearReplacement, e.Text+": near "+signs
	case high < nearRise && low > 0 && change >= ageingRise:
		e.State, e.Text = Ageing, e.Text+": below "+signs
	case high < nearRise && t.Quantity != ResistanceDirect:
		e.State, e.Text = NoSign, e.Text+": below "+signs
	case high < nearRise:
		e.Text += ": below " + signs + ", but it shows a rise late"
	default:
		e.Text += ": too uncertain to be held against " + signs
	}
	e.Text += fmt.Sprintf(" (counted from the first of %d observations, not from new; %s)", len(t.Points), t.Note)
	return e, true
}
