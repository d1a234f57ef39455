package condition

import (
	"fmt"
	"slices"
	"time"

	"amphora/analyze"
)

// Capacity is an estimate from charges between two known states of charge.
type Capacity struct {
	Ah       analyze.Number `json:"ah"` // null while there are too few charges
	LowAh    analyze.Number `json:"low_ah"`
	HighAh   analyze.Number `json:"high_ah"`
	OfRated  analyze.Number `json:"of_rated"` // Ah over the rating
	Partials []Partial      `json:"partials"`
	Words    string         `json:"words"`
}

// Partial is a charge from one known state of charge to another.
type Partial struct {
	Session string         `json:"session"`
	At      time.Time      `json:"at"`
	InAh    analyze.Number `json:"in_ah"`
	From    analyze.Number `json:"from"` // state of charge, 0 to 1
	To      analyze.Number `json:"to"`
	Why     string         `json:"why"` // where the two are known from
}

const (
	leastPartials = 3
	latest        = 9    // charges that tell how it is now; of more, older ones would tell how it was
	leastStep     = 0.25 // of state of charge: a smaller one says nothing
	readBefore    = 48 * time.Hour
	tableDoubt    = 0.10 // of the state of charge, what tables and rests differ by
)

// capacity estimates what the battery holds, nil where no charge helps.
func (h *history) capacity() *Capacity {
	factor, ok := analyze.ChargeFactorOf(h.battery.Chemistry)
	if !ok {
		return nil
	}
	c := &Capacity{Ah: none, LowAh: none, HighAh: none, OfRated: none, Partials: h.partials()}
	if len(c.Partials) == 0 {
		return nil
	}
	if len(c.Partials) < leastPartials {
		c.Words = fmt.Sprintf("capacity: not enough data (charges between known states of charge so far: %d, needed: %d)", len(c.Partials), leastPartials)
		return c
	}
	var all []float64
	step := 0.0
	now := c.Partials[max(0, len(c.Partials)-latest):]
	for _, p := range now {
		all = append(all, float64(p.InAh)/factor.Stated/float64(p.To-p.From))
		step += float64(p.To-p.From) / float64(len(now))
	}
	slices.Sort(all)
	low, high := medianInterval(all)
	// Charge factor and table are the same for all charges: they do not average out. A charge
	// that ends as soon as its current has tailed off may put in hardly more than was missing.
	low *= factor.Stated / factor.High * step / (step + tableDoubt)
	high *= factor.Stated * step / max(step-tableDoubt, tableDoubt)
	c.Ah, c.LowAh, c.HighAh = analyze.Number(middle(all)), analyze.Number(low), analyze.Number(high)
	c.Words = fmt.Sprintf("capacity about %.3g Ah [%.3g to %.3g] from the last %d charges between known states of charge, with a charge factor of %.2f (1 to %.2f)",
		middle(all), low, high, len(all), factor.Stated, factor.High)
	if h.battery.Rated > 0 {
		c.OfRated = c.Ah / analyze.Number(h.battery.Rated/3600)
		c.Words += fmt.Sprintf(": %.0f %% of the %s", 100*c.OfRated, h.battery.rating())
	}
	return c
}

var none = analyze.Number(analyze.Unknown())

// medianInterval is a distribution-free interval of the median of sorted values:
// with so few, from the least to the most (95 % from six on, 75 % of three).
func medianInterval(sorted []float64) (low, high float64) {
	skip := 0
	// One more may be left out on either side while the rest keeps 95 %.
	for n := len(sorted); atMost(n, skip+1) <= 0.025; skip++ {
	}
	return sorted[skip], sorted[len(sorted)-1-skip]
}

// atMost is the chance that no more than k of n fall below their median.
func atMost(n, k int) float64 {
	sum, term := 0.0, 1.0
	for range n {
		term /= 2
	}
	for i := range k + 1 {
		sum += term
		term *= float64(n-i) / float64(i+1)
	}
	return sum
}

// partials are the charges of which the state of charge is known before and after.
func (h *history) partials() []Partial {
	list := []Partial{}
	for k, s := range h.charges {
		from, ok := h.before(k)
		to, whyTo, okTo := after(s)
		if ok && okTo && to-from.state >= leastStep && known(s.ChargeInAh) {
			list = append(list, Partial{Session: s.ID, At: *s.Started, InAh: analyze.Number(taken(s)),
				From: analyze.Number(from.state), To: analyze.Number(to), Why: "before: " + from.why + "; after: " + whyTo})
		}
	}
	return list
}

// after is the state of charge that a charge came to.
func after(s *analyze.Session) (state float64, why string, ok bool) {
	switch {
	case s.Outcome == analyze.Complete:
		return 1, "complete", true
	case s.Rest != nil && known(s.Rest.StateOfCharge):
		return float64(s.Rest.StateOfCharge), "the rest after it", true
	}
	return 0, "", false
}

// beginning is the state of charge that a charge began at.
type beginning struct {
	state, u95 float64
	why        string // where it is known from
}

// before is the state of charge that the k-th charge began at: from the voltage that was
// seen before it, from the rest of the charge before, if that rest lasted until this one,
// or from a rest voltage that somebody noted not long before.
func (h *history) before(k int) (b beginning, ok bool) {
	s := h.charges[k]
	if b, ok := h.stood(s); ok {
		return b, true
	}
	if k > 0 {
		last := h.charges[k-1]
		away := s.Started.Sub(moment(last, last.EndS)).Seconds()
		if r := last.Rest; r != nil && known(r.StateOfCharge) && float64(r.DurationS) >= 0.9*away && last.Outcome != analyze.Complete {
			return beginning{float64(r.StateOfCharge), vagueStep / 2, "the rest after the charge before"}, true
		}
	}
	for n := len(h.readings) - 1; n >= 0; n-- {
		r := &h.readings[n]
		if ahead := s.Started.Sub(r.At); ahead < 0 || !analyze.Known(r.Volts) {
			continue
		} else if ahead > readBefore || k > 0 && r.At.Before(moment(h.charges[k-1], h.charges[k-1].EndS)) {
			break
		}
		read, ok := analyze.StateOfCharge(h.battery.Chemistry, r.Volts, h.battery.Cells, r.Celsius)
		return beginning{read.Fraction, (read.High - read.Low) / 2, fmt.Sprintf("%.2f V noted by hand", r.Volts)}, ok && h.battery.Cells > 0 && read.Note == ""
	}
	return b, false
}

// stood reads the voltage that was seen before a charge, where it is sure enough.
func (h *history) stood(s *analyze.Session) (b beginning, ok bool) {
	r := s.RestBefore
	if r == nil || !known(r.SettledV) {
		return b, false
	}
	read := func(volts analyze.Number) (analyze.RestState, bool) {
		return analyze.StateOfCharge(h.battery.Chemistry, float64(volts), h.battery.Cells, float64(s.MaxCelsius))
	}
	low, _ := read(r.SettledV - r.SettledVU95)
	high, _ := read(r.SettledV + r.SettledVU95)
	at, ok := read(r.SettledV)
	open := high.Fraction - low.Fraction
	return beginning{at.Fraction, open / 2, fmt.Sprintf("%.2f V without current", r.SettledV)}, ok && at.Note == "" && open <= vagueStep
}
