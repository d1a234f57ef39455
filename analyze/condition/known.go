package condition

import (
	"fmt"
	"slices"
	"time"

	"amphora/analyze"
)

const (
	vagueStep  = 0.30 // of the state of charge: a rest voltage that leaves more of it open tells none
	readBefore = 48 * time.Hour
)

// reached is a state of charge that is known, with all that leaves it open.
type reached struct {
	state float64
	u95   float64   // what the voltage alone leaves open, either way
	kinds []float64 // by each kind of cell that the chemistry's name covers; one where it tells the kind
	open  float64   // from the least to the most that voltage and kinds allow
	why   string    // where it is known from
}

// charged is where every kind of cell has come to that is full.
func (h *history) charged() reached {
	r := reached{state: 1, why: "complete"}
	for range h.kinds() {
		r.kinds = append(r.kinds, 1)
	}
	return r
}

// kinds is how many kinds of cells the chemistry's name covers, at least one.
func (h *history) kinds() int {
	s, _ := analyze.StateOfCharge(h.battery.Chemistry, 0, 1, analyze.Unknown())
	return max(1, len(s.Kinds))
}

// after is the state of charge that a charge came to.
func (h *history) after(s *analyze.Session) (r reached, ok bool) {
	switch {
	case s.Outcome == analyze.Complete:
		return h.charged(), true
	case s.Rest != nil && analyze.Known(s.Rest.StateOfCharge):
		return h.rested(s.Rest, "the rest after it"), true
	}
	return r, false
}

// rested is the state of charge that a rest told.
func (h *history) rested(f *analyze.RestFit, why string) reached {
	r := reached{state: float64(f.StateOfCharge), u95: vagueStep / 2, open: vagueStep, why: why}
	if read, ok := analyze.StateOfCharge(h.battery.Chemistry, float64(f.SettledV), h.battery.Cells, analyze.Unknown()); ok && len(read.Kinds) > 1 {
		r.kinds = read.Kinds
		return r
	}
	for range h.kinds() {
		r.kinds = append(r.kinds, r.state)
	}
	return r
}

// before is the state of charge that the k-th charge began at: from the voltage that was
// seen before it, from the rest of the charge before, if that rest lasted until this one,
// or from a rest voltage that somebody noted not long before.
func (h *history) before(k int) (r reached, ok bool) {
	s := h.charges[k]
	if r, ok := h.stood(s); ok {
		return r, true
	}
	if k > 0 {
		last := h.charges[k-1]
		away := s.Started.Sub(moment(last, last.EndS)).Seconds()
		if f := last.Rest; f != nil && analyze.Known(f.StateOfCharge) && float64(f.DurationS) >= 0.9*away && last.Outcome != analyze.Complete {
			return h.rested(f, "the rest after the charge before"), true
		}
	}
	for n := len(h.readings) - 1; n >= 0; n-- {
		hand := &h.readings[n]
		if ahead := s.Started.Sub(hand.At); ahead < 0 || !analyze.Known(hand.Volts) {
			continue
		} else if ahead > readBefore || k > 0 && hand.At.Before(moment(h.charges[k-1], h.charges[k-1].EndS)) {
			break
		}
		return h.noted(hand)
	}
	return r, false
}

// noted is the state of charge by a voltage that somebody measured.
func (h *history) noted(hand *Reading) (r reached, ok bool) {
	read, ok := analyze.StateOfCharge(h.battery.Chemistry, hand.Volts, h.battery.Cells, hand.Celsius)
	if !ok || read.Note != "" {
		return r, false
	}
	return reached{read.Fraction, (read.High - read.Low) / 2, read.Kinds, read.Most() - read.Least(), fmt.Sprintf("%.2f V noted by hand", hand.Volts)}, true
}

// stood reads the voltage that was seen before a charge, where it is sure enough whatever the
// kind of cell is.
func (h *history) stood(s *analyze.Session) (r reached, ok bool) {
	f := s.RestBefore
	if f == nil || !analyze.Known(f.SettledV) {
		return r, false
	}
	read := func(volts analyze.Number) (analyze.RestState, bool) {
		return analyze.StateOfCharge(h.battery.Chemistry, float64(volts), h.battery.Cells, float64(s.MaxCelsius))
	}
	at, ok := read(f.SettledV)
	if !ok || at.Note != "" {
		return r, false
	}
	low, _ := read(f.SettledV - f.SettledVU95)
	high, _ := read(f.SettledV + f.SettledVU95)
	open := 0.0
	for kind := range at.Kinds {
		open = max(open, high.Kinds[kind]-low.Kinds[kind])
	}
	r = reached{at.Fraction, open / 2, at.Kinds, slices.Max(high.Kinds) - slices.Min(low.Kinds), fmt.Sprintf("%.2f V without current", f.SettledV)}
	return r, open <= vagueStep
}
