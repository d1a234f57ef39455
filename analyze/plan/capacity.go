package plan

import (
	"fmt"

	"amphora/analyze"
)

// capacities are the figures in C that the rest of the plan is made from.
type capacities struct {
	cautious float64 // the smallest known
	usual    float64 // the 20-hour capacity, or the label's where rates matter little
	span     bounds  // from cautious to the largest likely
}

// planCapacity works out the capacity from what was said; false if nothing was
// that tells it.
func planCapacity(in Input, a *Advice) (capacities, bool) {
	out := &a.Capacity
	k := peukertRange(in.Chemistry)
	haveLabel, haveReserve := analyze.Known(in.Capacity), analyze.Known(in.Reserve)
	if haveLabel && haveReserve {
		k = labelExponent(in, k, a)
	}
	var c capacities
	switch {
	case haveLabel:
		c = fromLabel(in, k, out)
		if haveReserve {
			fromReserve(in, &c, out)
		}
	case haveReserve:
		best, span := twentyHourFromReserve(in.Reserve, in.Chemistry)
		c = capacities{cautious: best, usual: best, span: bounds{best, best}}
		out.because("twenty_hour_ah", "a battery gives more when it is emptied slowly; the sources differ, hence the range", "an importer's reserve formula; Peukert's law with published exponents; the constants of EN 50342-1 from memory")
		fromReserve(in, &c, out)
		out.TwentyHourLowAh, out.TwentyHourHighAh = ampereHours(span.Low), ampereHours(span.High)
	default:
		missingCapacity(in, a)
		return c, false
	}
	out.TwentyHourAh = ampereHours(c.usual)
	out.CautiousAh = ampereHours(c.cautious)
	out.because("cautious_ah", "the smallest figure makes the cautious current: too little only takes longer, too much heats and gases", arithmetic)
	return c, true
}

// labelExponent reads Peukert's k off a label that gives both ratings.
func labelExponent(in Input, usual bounds, a *Advice) bounds {
	k := peukertExponent(in.RatedTime, in.Capacity/in.RatedTime, in.Reserve, reserveAmps)
	if doubt := misfit(in, k); doubt != "" {
		a.Warnings = append(a.Warnings, doubt)
		return usual
	}
	if !(k >= leastExponent && k <= mostExponent) {
		return usual
	}
	a.Capacity.Peukert = analyze.Number(k)
	a.Capacity.because("peukert_exponent", "two discharge rates on one label give it", arithmetic)
	return bounds{k, k}
}

// fromLabel takes the ampere-hours at face value and refers them to 20 h.
func fromLabel(in Input, k bounds, out *CapacityAdvice) capacities {
	out.RatedAh, out.RatedHours = ampereHours(in.Capacity), analyze.Number(in.RatedTime/hour)
	out.because("rated_ah", "as the label says", "the label")
	at := func(k float64) float64 { return capacityAtHours(in.Capacity, in.RatedTime, twentyHours, k) }
	ends := bounds{min(at(k.Low), at(k.High)), max(at(k.Low), at(k.High))}
	usual := at((k.Low + k.High) / 2)
	out.TwentyHourLowAh, out.TwentyHourHighAh = ampereHours(ends.Low), ampereHours(ends.High)
	if in.RatedTime != twentyHours && in.Chemistry.Lead() {
		out.because("twenty_hour_ah", "Peukert's law in the rated-hour form, with the exponents usual for the chemistry", "published exponents")
	}
	c := capacities{cautious: min(in.Capacity, usual), usual: usual}
	c.span = bounds{c.cautious, max(in.Capacity, usual)}
	return c
}

// fromReserve adds what the reserve minutes give at 25 A.
func fromReserve(in Input, c *capacities, out *CapacityAdvice) {
	at25 := reserveCharge(in.Reserve)
	out.At25AAh = ampereHours(at25)
	out.because("at_25_a_ah", fmt.Sprintf("25 A for %g min is %g/2.4 Ah", in.Reserve/minute, in.Reserve/minute), "the definition of reserve capacity: 25 A to 10.5 V")
	c.cautious = min(c.cautious, at25)
	c.span.Low = min(c.span.Low, at25)
}

// missingCapacity asks for what would tell the capacity.
func missingCapacity(in Input, a *Advice) {
	if analyze.Known(in.ColdCranking) {
		a.Warnings = append(a.Warnings, fmt.Sprintf("%g cold-cranking amperes say how hard the battery can push an engine, nothing about its capacity", in.ColdCranking))
	}
	if analyze.Known(in.Energy) {
		return // the number of cells is missing, and was asked for
	}
	ask := "the capacity in ampere-hours or watt-hours"
	if in.Chemistry.Lead() {
		ask = "the battery's size: its ampere-hours or its reserve minutes, from the label or from its type number"
	}
	a.Missing = append(a.Missing, ask)
}

func (c *CapacityAdvice) because(of, why, source string) {
	c.Reasons = append(c.Reasons, Reason{of, why, source})
}

// ampereHours shows a charge in C as people read it.
func ampereHours(c float64) analyze.Number { return analyze.Number(c / ampereHour) }
