package analyze

import (
	"fmt"
	"math"
)

// A voltage that stands at full current. How fast it must rise follows from the
// rest voltage's slope over the state of charge (the tables in soc.go): what has gone in and the
// rise together imply a capacity, and that must not be absurd. Either it is
// several times the rated one, or, where none is known, so large that this
// current would take hundreds of hours. A battery's polarisation follows a pause or a step
// of the current for an hour or so: voltages are compared only where as much had flowed
// before the later one as before the earlier.
const (
	flatQuantity     = 0.25 // of capacity that must have gone in
	flatQuantityFlat = 0.5  // where the rest voltage hardly tells anything
	flatQuantityFull = 1.1  // nickel: flat before it is full, and then for as long as a plain slow charge goes on (needs.go)
	flatCapacity     = 3    // times the rated capacity
	flatSeconds      = 6 * 3600
	flatHours        = 200.0 // h that the implied capacity would take
	flatHoursUnsure  = 400.0 // where the rest voltage hardly tells anything
	flatFell         = 0.02  // of the voltage: what fell by more does not stand
	flatSteady       = 0.05  // how far the current may have moved
	flatBlock        = 300   // s that are averaged
	flatLongBlock    = 3600  // s, where noise would hide more than rounding does
	flatSettles      = 3600  // s: so long a step of the current shows in the voltage
	gassingFrom      = 2.35  // V a lead-acid cell
)

func (s *sight) flat(now block) claim {
	tr := &s.c.trace
	slope, telling := slopeOf(&s.c.bounds.of, now.v)
	from := s.flatFrom(telling)
	if from < 0 {
		return claim{}
	}
	then := tr.ending(0, from+1, 4, flatBlock)
	if s.flatUnsure(&then, &now) > s.volts.step()/2 {
		then, now = tr.ending(0, from+1, 4, flatLongBlock), tr.ending(0, s.end, 4, flatLongBlock)
	}
	if math.Abs(now.i-then.i) > flatSteady*now.i || now.v < then.v*(1-flatFell) || tr.lately(now.t1) < (1-flatSteady)*tr.lately(then.t1) {
		return claim{}
	}
	rise := max(now.v-then.v, 0) + s.flatUnsure(&then, &now) + s.flatRounded()
	in := tr.bins[s.end].at.in - tr.bins[from].at.in
	implied := in * slope / rise
	absurd := s.flatAbsurd(now.i, telling)
	if s.still(CodeStalled) {
		absurd *= 0.7
	}
	if implied <= absurd {
		return claim{}
	}
	if !s.still(CodeStalled) || s.c.stands == (stand{}) { // which may hold for a trickle
		s.c.stands = s.stoodSince(&then, &now)
	}
	return claim{holds: true, since: s.c.stands.at, message: fmt.Sprintf("%.3g A flow, but in %s the voltage has moved by only %.0f mV at %.2f V, as if the battery were %s: %s",
		now.i, clock(now.t1-then.t0), math.Round(1000*(now.v-then.v))+0, now.v, s.flatThan(implied, now.i), s.flatCause(now.v))}
}

// flatAbsurd is what a battery cannot hold, C.
func (s *sight) flatAbsurd(amps float64, telling bool) float64 {
	switch {
	case s.o.Capacity > 0:
		return flatCapacity * s.o.Capacity
	case telling:
		return flatHours * secondsPerHour * amps
	}
	return flatHoursUnsure * secondsPerHour * amps
}

// flatThan says how large a battery would be that holds so much, C, in words.
func (s *sight) flatThan(implied, amps float64) string {
	if c := s.o.Capacity; c > 0 {
		return fmt.Sprintf("%.0f times its rated capacity", implied/c)
	}
	return fmt.Sprintf("so large that %.3g A would take %.0f h", amps, implied/amps/secondsPerHour)
}

// flatUnsure is what noise leaves open of the difference of two means, V, at two standard deviations.
func (s *sight) flatUnsure(then, now *block) float64 {
	return 2 * s.volts.noise() * math.Sqrt(1/now.rows+1/then.rows)
}

// flatRounded is what the display's digits leave open of it, V: nothing where the readings scatter over
// half a digit and more, for then their mean is finer than the digit.
func (s *sight) flatRounded() float64 {
	if s.volts.noise() >= s.volts.step()/2 {
		return 0
	}
	return s.volts.step() / 2
}

// lately is the mean current of the last hour before a time, A. What is on its way back after a
// pause, or after less current, stands too low to be compared; after more, too high.
func (tr *trace) lately(t float64) float64 {
	return (tr.sumAt(t).in - tr.sumAt(t-flatSettles).in) / flatSettles
}

// flatFrom is the bin from which on the voltage must have risen, or -1.
func (s *sight) flatFrom(telling bool) int {
	tr, patience := &s.c.trace, s.o.Patience.of(CodeStalled)
	from := tr.index(s.now - max(patience*flatSeconds, (s.now-s.c.begin.t)/2))
	if c := s.o.Capacity; c > 0 {
		quantity := flatQuantityFlat
		switch {
		case telling:
			quantity = flatQuantity
		case s.c.bounds.of.chemistry.Nickel():
			quantity = flatQuantityFull
		}
		from = tr.indexIn(tr.bins[s.end].at.in - patience*quantity*c)
	}
	// The first hour, with its quick rise, does not count.
	if tr.bins[from].t0 < s.c.begin.t+flatSettles {
		return -1
	}
	return from
}

// slopeOf is the least that the rest voltage rises over the whole of a state of
// charge, V, anywhere but at its ends; telling says whether that is much. LiFePO4
// rises 13 mV from 30 to 60 %. An unknown battery whose voltage could be that of a
// usual pack on such a plateau is taken for one; else it rises at least as
// lead-acid does, the flattest of the rest for its voltage.
func slopeOf(id *identity, volts float64) (slope float64, telling bool) {
	n := float64(id.cells)
	switch c := id.chemistry; {
	case c.Lead() && n > 0:
		return 0.115 * n, true
	case c == LiIon && n > 0:
		return 0.3 * n, true
	case c == LiFePO4 && n > 0:
		return 0.035 * n, false
	case c.Nickel() && n > 0:
		return 0.06 * n, false
	case c == "" && !onPlateau(volts):
		return 0.055 * volts, true
	}
	return 0.010 * volts, false
}

// onPlateau reports whether a voltage on charge is that of a usual pack on the
// flat part of its curve: LiFePO4 3.2 to 3.45 V a cell, nickel 1.27 to 1.45 V.
func onPlateau(volts float64) bool {
	for _, p := range []family{
		{low: 3.2, high: 3.45, cells: families[1].cells},
		{low: 1.27, high: 1.45, cells: []int{1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 20}},
	} {
		for _, n := range p.cells {
			if v := volts / float64(n); v >= p.low && v <= p.high {
				return true
			}
		}
	}
	return false
}

// gassing reports whether all cells of a lead-acid battery stand where they gas.
func gassing(id *identity, volts float64) bool {
	return id.chemistry.Lead() && id.cells > 0 && volts/float64(id.cells) > gassingFrom
}

// flatCause is what a voltage may stand for, the likelier first: one that had risen for hours and then
// fell, which a load that comes on makes; else a fault that may have been there from the first.
func (s *sight) flatCause(volts float64) string {
	id := &s.c.bounds.of
	switch {
	case gassing(id, volts) && !id.allThere(volts):
		return "it is full and gasses without end, or one of its cells is shorted and the others do. Switch the charger off, air the room, compare the cells with a meter"
	case gassing(id, volts):
		return "it is full and gasses without end. Switch the charger off, air the room, look at the acid"
	case id.chemistry.Nickel():
		return "it is full and its voltage peak was missed. Feel whether it is warm, and switch the charger off"
	}
	const look = "Unplug other consumers; feel whether it is warm; compare the cells with a meter"
	switch b := &s.c.stands; {
	case b.at <= s.c.begin.t+flatSettles:
		return "a cell is shorted or leaks, it is far larger than was told, or from the first a load hangs beside the battery. " + look
	case b.fell:
		return fmt.Sprintf("it rose until %s, and then fell and stands: a load came on beside the battery, or a cell leaks since. %s", clock(b.at), look)
	}
	return "a cell is shorted or leaks, a load hangs beside the battery, or it is far larger than was told. " + look
}
