package condition

import (
	"fmt"
	"math"
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

	steps []float64 // from one to the other, for each kind of cell that it may be
}

const (
	leastPartials = 3
	latest        = 9    // charges that tell how it is now; of more, older ones would tell how it was
	leastStep     = 0.25 // of state of charge: a smaller one says nothing
	tableDoubt    = 0.10 // of the state of charge, what tables and rests differ by

	// A stationary battery below 80 % of its rating is to be replaced.
	replaceCapacity = 0.80
	capacitySource  = "a federal maintenance handbook: replace below 80 % of the rating"
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
	now := c.Partials[max(0, len(c.Partials)-latest):]
	var all []float64
	for _, p := range now {
		all = append(all, float64(p.InAh)/factor.Stated/float64(p.To-p.From))
	}
	slices.Sort(all)
	low, high := math.Inf(1), 0.0
	for kind := range now[0].steps {
		least, most := ofKind(now, kind, factor)
		low, high = min(low, least), max(high, most)
	}
	c.Ah, c.LowAh, c.HighAh = analyze.Number(middle(all)), analyze.Number(low), analyze.Number(high)
	c.Words = fmt.Sprintf("capacity about %.3g Ah [%.3g to %.3g] from the last %d charges between known states of charge, with a charge factor of %.2f (1 to %.2f)",
		middle(all), low, high, len(all), factor.Stated, factor.High)
	if h.battery.Rated > 0 {
		c.OfRated = c.Ah / analyze.Number(h.battery.Rated/3600)
		c.Words += fmt.Sprintf(": %.0f %% of the %s", 100*c.OfRated, h.battery.rating())
	}
	return c
}

// ofKind is what the capacity may be, Ah, if the battery is of one of the kinds that its name covers.
func ofKind(list []Partial, kind int, factor analyze.ChargeFactor) (low, high float64) {
	var all []float64
	step := 0.0
	for _, p := range list {
		all = append(all, float64(p.InAh)/factor.Stated/p.steps[kind])
		step += p.steps[kind] / float64(len(list))
	}
	slices.Sort(all)
	low, high = medianInterval(all)
	// Charge factor and table are the same for all charges: they do not average out. A charge
	// that ends as soon as its current has tailed off may put in hardly more than was missing.
	low *= factor.Stated / factor.High * step / (step + tableDoubt)
	high *= factor.Stated * step / max(step-tableDoubt, tableDoubt)
	return low, high
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
		to, okTo := h.after(s)
		if !ok || !okTo || from.open > vagueStep || to.state-from.state < leastStep || !analyze.Known(s.ChargeInAh) {
			continue
		}
		p := Partial{Session: s.ID, At: *s.Started, InAh: analyze.Number(taken(s)),
			From: analyze.Number(from.state), To: analyze.Number(to.state), Why: "before: " + from.why + "; after: " + to.why}
		for kind := range from.kinds {
			p.steps = append(p.steps, max(to.kinds[kind]-from.kinds[kind], tableDoubt))
		}
		list = append(list, p)
	}
	return list
}

// capacityEvidence judges the capacity against the rating.
func (h *history) capacityEvidence(c *Capacity) (Evidence, bool) {
	if c == nil {
		return Evidence{}, false
	}
	e := Evidence{Quantity: "capacity", State: NotEnoughData, Text: c.Words}
	if !analyze.Known(c.OfRated) {
		return e, true
	}
	e.Source = capacitySource
	rated := analyze.Number(h.battery.Rated / 3600)
	switch limit := replaceCapacity * rated; {
	case c.HighAh < limit:
		e.State = Replace
	case c.Ah < limit && c.HighAh < (limit+rated)/2: // one that may still have nearly all of it is not accused
		e.State = NearReplacement
	case c.LowAh >= limit && !h.battery.Chemistry.Lead():
		e.State = NoSign
	case c.LowAh >= limit:
		e.Text += ": " + acidOnly
	default:
		e.Text += ": too uncertain to be held against 80 % of it"
	}
	return e, true
}
