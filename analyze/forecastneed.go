package analyze

import (
	"fmt"
	"math"
)

// need is what a battery will have taken when it is complete, C.
type need struct {
	guess
	likeness float64 // a logarithm
}

// grounds are what it is known by.
type grounds struct {
	capacity float64 // C; 0 unknown
	rest     float64 // V before the charge, NaN where it is not known how empty the battery came
	state    float64 // of charge by that
	nights   int     // that were earlier,
	mean     float64 // C that went in then
}

func (g *grounds) words() string {
	nights := ""
	if g.nights > 0 {
		nights = fmt.Sprintf("%.3g Ah on earlier nights (%d)", ampHours(g.mean), g.nights)
	}
	if g.capacity == 0 {
		return nights
	}
	told := "as empty as usual"
	if Known(g.rest) {
		told = fmt.Sprintf("%.2f V at rest before the charge (about %.0f %%)", g.rest, 100*g.state)
	}
	told = fmt.Sprintf("the capacity of %.4g Ah, %s, and the voltage's path", ampHours(g.capacity), told)
	if g.nights > 0 {
		told += "; " + nights
	}
	return told
}

// How much a battery needs for each part of its capacity that is missing, until
// the tail: valve-regulated lead-acid 1.04 to 1.12 in all and vented 1.15 to 1.30
// (a battery maker), of which the part below the tail is not waited for; lithium
// gives back over 99 %, and at its tail some per cent are still missing, most where the
// voltage turns up early, as that of LiFePO4 does; nickel's peak comes at 1.05 to 1.2
// (common practice, no source). Batteries in use hold rather less than their label says,
// so that what four of five models of batteries took lay below such figures: those of
// lead-acid and li-ion are 0.02 lower.
func needFactor(c Chemistry) (factor, spread float64) {
	switch {
	case c == LeadFlooded:
		return 1.06, 0.05
	case c.Lead():
		return 1.00, 0.04
	case c == LiFePO4:
		return 0.975, 0.03
	case c.Lithium():
		return 0.965, 0.04
	}
	return 1.10, 0.06
}

const (
	// A rated capacity is what a battery gives when new, in order and discharged slowly.
	capacitySpread = 0.06
	// How full a battery comes where nothing tells: nobody charges a full one.
	usualState, usualSpread = 0.35, 0.25
	// Nickel is used until what it drives slows down.
	usualNickel, usualNickelSpread = 0.3, 0.22
	// How often cells are of a make whose rest voltage is not as in the table, or had not
	// settled: their plateaus lie tens of millivolts apart.
	restDoubt = 0.12
	// A settled voltage, even at the right table, is no better than this.
	stateSpread = 0.03
	// Nights differ in how empty the battery came.
	earlierSpread = 0.4
)

// needs is what the battery may need, from its capacity and rest voltage, and from
// earlier nights, put into room; nothing where none is known.
func (s *sight) needs(room []need) (list []need, by grounds) {
	list, by = s.needsByRest(room)
	nights, before := s.needByNights()
	if !before {
		return list, by
	}
	by.nights, by.mean = len(s.o.Earlier), nights.x
	if len(list) == 0 {
		return append(room, need{guess: nights}), by
	}
	for k := range list {
		n := &list[k]
		both, likeness := n.with(nights)
		*n = need{both, n.likeness + likeness}
	}
	return list, by
}

// needsByRest is the need by the capacity and the rest voltage; and, less likely, by the
// capacity alone, as the rest voltage may mislead. Which of them it is shows later, in how
// the voltage climbs.
func (s *sight) needsByRest(room []need) ([]need, grounds) {
	c, chemistry := s.o.Capacity, s.c.bounds.of.chemistry
	if c <= 0 || chemistry == "" {
		return nil, grounds{}
	}
	cells := s.c.bounds.of.cells
	if cells == 0 {
		cells = s.v.id.cells
	}
	usual := usualBefore(chemistry)
	state, ok := s.stateBefore(chemistry, cells)
	if !ok {
		return append(room, needOf(c, chemistry, usual, 1)), grounds{capacity: c, rest: Unknown()}
	}
	return append(room, needOf(c, chemistry, state, 1-restDoubt), needOf(c, chemistry, usual, restDoubt)),
		grounds{capacity: c, rest: s.c.resting, state: state.x}
}

// needOf is what a battery of so much capacity, C, needs that came in such a state, and
// how probable that is.
func needOf(c float64, chemistry Chemistry, state guess, share float64) need {
	factor, spread := needFactor(chemistry)
	missing := 1 - state.x
	return need{
		guess:    guess{factor * missing * c, c * math.Hypot(factor*state.u, math.Hypot(spread, capacitySpread)*missing)},
		likeness: math.Log(share),
	}
}

// usualBefore is how full a battery usually comes.
func usualBefore(c Chemistry) guess {
	if c.Nickel() {
		return guess{usualNickel, usualNickelSpread}
	}
	return guess{usualState, usualSpread}
}

// stateBefore is the state of charge before the charge by its rest voltage, 0 to 1.
func (s *sight) stateBefore(c Chemistry, cells int) (state guess, ok bool) {
	table, tolerance := roughRest(c)
	if cells == 0 || !Known(s.c.resting) {
		return guess{}, false
	}
	n := float64(cells)
	v := s.c.resting / n
	tolerance = math.Hypot(tolerance, (s.volts.step()/2+s.volts.noise())/n)
	low, high := table.At(v-tolerance), table.At(v+tolerance)
	state = guess{(table.At(v) + low + high) / 3, math.Hypot((high-low)/2, stateSpread)}.and(usualBefore(c))
	return state, true
}

// roughRest is rest voltage a cell against state of charge, and how much cells
// differ, V. Lead-acid as in soc.go. The others are from memory, between cells of
// several makes: good enough to guess how long a night will be, not to be shown. Li-ion is
// that of nickel, manganese and cobalt, the most usual; cobalt alone stands higher when half full.
// Nickel's tells little: it goes by some 0.03 V with the temperature and with how long
// it rested. The plateau of LiFePO4 lies some millivolts lower after a discharge than
// after a charge.
func roughRest(c Chemistry) (Table, float64) {
	switch {
	case c.Lead():
		t := ocvTables[c]
		return t.points, t.tolerance
	case c == LiIon:
		return Table{{3.0, 0}, {3.37, 0.05}, {3.48, 0.1}, {3.57, 0.2}, {3.62, 0.3}, {3.665, 0.4}, {3.72, 0.5}, {3.82, 0.6}, {3.91, 0.7}, {4.0, 0.8}, {4.085, 0.9}, {4.185, 1}}, 0.03
	case c == LiFePO4:
		return Table{{2.8, 0}, {3.05, 0.02}, {3.2, 0.09}, {3.25, 0.18}, {3.28, 0.27}, {3.295, 0.45}, {3.31, 0.65}, {3.33, 0.8}, {3.34, 0.95}, {3.40, 1}}, 0.006
	}
	return Table{{1.16, 0}, {1.228, 0.05}, {1.258, 0.12}, {1.285, 0.28}, {1.305, 0.48}, {1.325, 0.68}, {1.352, 0.88}, {1.39, 1}}, 0.035
}

// needByNights is the charge of the earlier nights: their mean, and their spread,
// which is taken to be no less than a tenth.
func (s *sight) needByNights() (guess, bool) {
	nights := s.o.Earlier
	if len(nights) == 0 {
		return guess{}, false
	}
	k := float64(len(nights))
	mean, squares := 0.0, 0.0
	for _, e := range nights {
		mean += e.ChargeIn / k
	}
	for _, e := range nights {
		squares += (e.ChargeIn - mean) * (e.ChargeIn - mean)
	}
	// The usual spread counts as one night more.
	prior := earlierSpread * mean
	u := math.Sqrt((squares + prior*prior) / k * (1 + 1/k))
	return guess{mean, u}, true
}
