package analyze

import (
	"fmt"
	"math"
	"slices"
)

// Stalled: current flows, but the charge gets nowhere. Slow is not stalled: a
// large flat battery at a twentieth of its capacity shows almost no rise for
// hours, LiFePO4 none on its plateau for most of the night. Three things look
// different, and the message says which.
//
//   - A trickle: before any voltage limit, the current has dropped to a fraction of
//     what it was, for an hour, and the voltage with it: where that rises meanwhile, an
//     unregulated source gives less to a battery that fills. If it is steady, the charger protects itself from
//     heat, has run into its own timer, or waits for an answer; if it goes up and
//     down by steps, a load beside the battery takes the rest by turns.
//     Where a limit was held already, see starved.go.
//   - A trickle from the first: it would take weeks. The charger waits at its menu.
//     A float is the same current at a float's voltage, and is no fault.
//   - A voltage that stands at full current. How fast it must rise follows from the
//     rest voltage's slope over the state of charge: what has gone in and the
//     rise together imply a capacity, and that must not be absurd. Either it is
//     several times the rated one, or, where none is known, so large that this
//     current would take hundreds of hours.
//
// It clears when the current or the voltage moves again, when a limit is held, and
// when the current has stopped. Thresholds: common practice, no source; slopes from
// the tables in soc.go.
const (
	trickleShare   = 0.2      // of the highest current
	trickleSeconds = 3600     // s
	trickleTurns   = 0.25     // of the current: more between its high and its low is no steady trickle
	nearlyFull     = 0.9      // of a nickel pack's capacity
	menuRate       = 1. / 500 // of capacity per hour
	menuSeconds    = 2 * 3600
	floatLead      = 2.2 // V a cell: a float is above
	floatLiIon     = 4.0

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
	gassingFrom      = 2.35  // V a lead-acid cell
)

func stalled(s *sight) claim {
	if s.frozen {
		return claim{}
	}
	now := s.c.trace.ending(0, s.end, 4, flatBlock)
	if Known(s.v.finish) {
		return claim{}
	}
	if s.c.hold.found {
		return s.gaveWay(&now)
	}
	if now.i < trickleShare*s.c.most {
		return s.trickle(&now)
	}
	if c := s.atMenu(&now); c.holds {
		return c
	}
	return s.flat(&now)
}

// gaveWay is of a charger that does not hold its limit any more.
func (s *sight) gaveWay(now *block) claim {
	held := s.c.hold.volts
	since, lasted := starvedSince(&s.c.trace, s.constantAt, s.end, held, s.v.set, s.volts, s.amps)
	if !lasted || !(s.now-since >= trickleSeconds*s.o.Patience.of(CodeStalled)) || now.i >= trickleShare*s.c.most {
		return claim{}
	}
	return claim{holds: true, since: since, message: fmt.Sprintf("only %.3g A of %.3g A since %s, and the voltage went from the held %.2f to %.2f V, before the charge was complete: the charger protects itself from heat, ran into its own timer, or its source fails. Look at what it shows, and feel whether it is hot",
		now.i, s.c.most, clock(since), held, now.v)}
}

func (s *sight) trickle(now *block) claim {
	tr := &s.c.trace
	k := s.end - 1
	for k > 0 && tr.bins[k].i() < trickleShare*s.c.most {
		k--
	}
	since := tr.bins[k].t1
	if b := &s.c.blind; b.done && b.from == since && !s.notFull(now.v) || s.mayHaveFilled(since) {
		return claim{} // what flows may be what comes after the end
	}
	if s.now-since < trickleSeconds*s.o.Patience.of(CodeStalled) || tr.pushedBack(now, s.c.most, s.volts) || s.c.climbed(s.o, s.end, s.volts) {
		return claim{}
	}
	fell := fmt.Sprintf("of %.3g A since %s, and the voltage went from %.2f to %.2f V without having come to a limit", s.c.most, clock(since), tr.bins[k].v(), now.v)
	if low, high := tr.between(tr.index(s.now-trickleSeconds), s.end, (*bin).i); high-low > max(trickleTurns*high, 8*s.amps.noise(), 2*s.amps.step()) {
		return claim{holds: true, since: since, message: fmt.Sprintf("only between %.2g and %.2g A %s: the current goes up and down, as if a load beside the battery took the rest by turns. Look at what else hangs on the charger, and unplug it", low, high, fell)}
	}
	return claim{holds: true, since: since, message: fmt.Sprintf("only %.3g A %s: the charger protects itself from heat, ran into its own timer, waits for an answer, its source fails, or a steady load beside the battery takes the rest. Look at what it shows, and feel whether it is hot", now.i, fell)}
}

// mayHaveFilled reports whether so much had gone into a nickel pack by a time that it was
// full, or nearly: its charger may have ended by a rise of the temperature that the voltage does not show.
func (s *sight) mayHaveFilled(since float64) bool {
	return s.c.bounds.of.chemistry.Nickel() && s.o.Capacity > 0 && s.c.trace.sumAt(since).in-s.c.begin.sum.in >= nearlyFull*s.o.Capacity
}

// notFull reports whether a battery that takes a trickle stands so low that it cannot have
// been full before.
func (s *sight) notFull(volts float64) bool {
	perCell := volts / float64(s.c.bounds.of.cells)
	switch id := s.c.bounds.of.chemistry; {
	case s.c.bounds.of.cells == 0:
		return false
	case id.Lead():
		return perCell < healthyFull
	case id == LiIon:
		return perCell < floatLiIon
	}
	return false
}

// between is the least and the most of bins [from, to) in something, but for the tenth
// of them that is lowest and the tenth that is highest, so that odd rows do not count.
func (tr *trace) between(from, to int, of func(*bin) float64) (low, high float64) {
	all := make([]float64, 0, to-from)
	for k := from; k < to; k++ {
		all = append(all, of(&tr.bins[k]))
	}
	slices.Sort(all)
	return all[len(all)/10], all[len(all)-1-len(all)/10]
}

func (s *sight) atMenu(now *block) claim {
	elapsed := s.now - s.c.begin.t
	if s.o.Capacity <= 0 || s.c.bounds.of.cells == 0 || elapsed < menuSeconds*s.o.Patience.of(CodeStalled) || s.c.most > menuRate*s.o.Capacity/secondsPerHour {
		return claim{}
	}
	perCell := now.v / float64(s.c.bounds.of.cells)
	if id := s.c.bounds.of.chemistry; !(id.Lead() && perCell < floatLead || id == LiIon && perCell < floatLiIon) {
		return claim{}
	}
	return claim{holds: true, since: s.c.begin.t, message: fmt.Sprintf("only %.3g A for %s at %.2f V: at this rate %.4g Ah would take %.0f days. The charger has not begun: it waits at its menu, or does not know the battery. Look at what it shows",
		now.i, clock(elapsed), now.v, ampHours(s.o.Capacity), s.o.Capacity/now.i/86400)}
}

func (s *sight) flat(now *block) claim {
	tr := &s.c.trace
	slope, telling := slopeOf(&s.c.bounds.of, now.v)
	from := s.flatFrom(telling)
	if from < 0 {
		return claim{}
	}
	then := tr.ending(0, from+1, 4, flatBlock)
	if math.Abs(now.i-then.i) > flatSteady*now.i || now.v < then.v*(1-flatFell) {
		return claim{}
	}
	sure := 2*s.volts.noise()*math.Sqrt(1/now.rows+1/then.rows) + s.volts.step()/2
	rise := max(now.v-then.v, 0) + sure
	in := tr.bins[s.end].at.in - tr.bins[from].at.in
	implied := in * slope / rise
	hours := flatHoursUnsure
	if telling {
		hours = flatHours
	}
	loosen := s.o.Patience.of(CodeStalled)
	if s.still(CodeStalled) {
		loosen *= 0.7
	}
	than := ""
	switch c := s.o.Capacity; {
	case c > 0 && implied > flatCapacity*c*loosen:
		than = fmt.Sprintf("%.2g times its rated capacity", implied/c)
	case c <= 0 && implied/now.i > hours*secondsPerHour*loosen:
		than = fmt.Sprintf("so large that %.3g A would take %.0f h", now.i, implied/now.i/secondsPerHour)
	default:
		return claim{}
	}
	return claim{holds: true, since: then.t0, message: fmt.Sprintf("%.3g A flow, but in %s the voltage has moved by only %.0f mV at %.2f V, as if the battery were %s: %s",
		now.i, clock(now.t1-then.t0), math.Round(1000*(now.v-then.v))+0, now.v, than, s.flatCause(now.v))}
}

// flatFrom is the bin from which on the voltage must have risen, or -1.
func (s *sight) flatFrom(telling bool) int {
	tr := &s.c.trace
	from := tr.index(s.now - max(flatSeconds, (s.now-s.c.begin.t)/2))
	if c := s.o.Capacity; c > 0 {
		quantity := flatQuantityFlat
		switch {
		case telling:
			quantity = flatQuantity
		case s.c.bounds.of.chemistry.Nickel():
			quantity = flatQuantityFull
		}
		from = tr.indexIn(tr.bins[s.end].at.in - quantity*c)
	}
	// The first hour, with its quick rise, does not count.
	if tr.bins[from].t0 < s.c.begin.t+3600 {
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
	return "a cell is shorted or leaks, a load hangs beside the battery, or it is far larger than was told. Feel whether it is warm; unplug other consumers; compare the cells with a meter"
}
