package analyze

import (
	"fmt"
	"math"
	"slices"
)

// A battery that heats itself takes what there is. Once its current is back at what the charger can give, it cannot climb
// any more; what shows from there on is the voltage, which leaves the limit, or the crest that it came to under
// all of the current, and sags: a battery that gasses stands some 5 mV a cell lower with each kelvin. It does so
// little by little, while the same current flows on. A load that comes on beside it takes the voltage down at once. A source
// that fades loses current, too. A charger without a limit takes cells higher than any limit is, and they sag as they
// warm without taking more. Nickel sags when it is full, though by less than a thirtieth until its charger stops. And a battery that was empty for
// long may hold the limit from the first, until it takes all of the current: this one had been charged with that
// below. Thresholds: common practice, no source.
const (
	sagFall    = 0.01  // of the voltage: 5 K; half of it holds the alarm
	sagNickel  = 0.035 // where it may be nickel
	sagSeconds = 1200  // s that it must have gone on
	sagFull    = 0.95  // of the set current, which must flow
	sagSteady  = 0.93  // of the current now: so much must have flowed all the time
	sagQuick   = 120   // s in which
	sagStep    = 0.3   // of the fall must not come
	sagEarlier = 1800  // s that as much had flowed at a lower voltage before
	sagFrom    = 2.3   // V a lead-acid cell: one that stood lower did not gas,
	sagUntil   = 2.5   // and one that stood higher had no limit
)

// sags claims that the voltage gives way under all of the current.
func (s *sight) sags() claim {
	tr := &s.c.trace
	now := tr.ending(0, s.end, 4, runawayBlock)
	still := s.still(CodeThermalRunaway)
	need := s.sagNeeded() * s.o.Patience.of(CodeThermalRunaway)
	if still {
		need /= 2
	}
	if now.v > tr.top*(1-need) || now.i < sagFull*s.v.set || s.frozen {
		return claim{} // the usual case, without a search
	}
	top, at := s.letGo(&now)
	need = max(need*top.v, 2*s.meanUnsure(&now, &top), 2*s.volts.step())
	if top.v-now.v < need || !s.gassed(&top) {
		return claim{}
	}
	since := tr.bins[at-1].t1
	if !still && (now.t1-since < sagSeconds || since < s.c.pauses.until || !s.littleByLittle(at, &top, &now) || !s.chargedBelow(at, &top, &now)) {
		return claim{}
	}
	return claim{holds: true, since: since, message: fmt.Sprintf("the voltage sags from %.2f to %.2f V since %s, while all of the %.3g A flow on, where it must stand or climb. "+
		"The battery may be heating itself, which ends in fire or boiling acid. Switch the charger off now, keep away from the battery, air the room; let it cool for hours before touching it", top.v, now.v, clock(since), now.i)}
}

// sagNeeded is by how much of the voltage a battery must have sagged.
func (s *sight) sagNeeded() float64 {
	if !s.c.hold.found && s.o.Chemistry == "" {
		return sagNickel
	}
	return sagFall
}

// gassed reports whether a battery may have gassed at its highest voltage: its charger held it, or it is lead-acid at a
// voltage at which chargers do. Of a battery that nobody named, a usual pack must fit.
func (s *sight) gassed(top *block) bool {
	if s.c.hold.found {
		return true
	}
	if s.o.Chemistry != "" && !s.o.Chemistry.Lead() {
		return false
	}
	return gassedAt(top.v, s.c.bounds.of.cells)
}

// gassedAt reports whether so many lead-acid cells, or a usual pack of them where that is 0, gassed at a voltage at which
// chargers hold them.
func gassedAt(volts float64, cells int) bool {
	fits := func(n int) bool { v := volts / float64(n); return v >= sagFrom && v <= sagUntil }
	if cells > 0 {
		return fits(cells)
	}
	return slices.ContainsFunc(families[0].cells, fits)
}

// letGo is the highest voltage, and the bin from which on it was not there any more.
func (s *sight) letGo(now *block) (top block, at int) {
	tr := &s.c.trace
	top, _ = s.highestBefore(0, s.end)
	least := top.v - (top.v-now.v)/10 - s.volts.noise()
	at = s.end
	for at > 1 && tr.bins[at-1].v() < least {
		at--
	}
	return top, at
}

// littleByLittle reports whether the voltage has sunk since bin at without a step, and with all of the current.
func (s *sight) littleByLittle(at int, top, now *block) bool {
	tr := &s.c.trace
	rows := 2.0
	slack := 4*s.amps.noise()/math.Sqrt(rows) + s.amps.step()
	later := *now
	for end := tr.index(now.t0); end > at; {
		k := max(tr.tailEnd(end, rows, sagQuick), at)
		b := tr.blockOf(k, end)
		if b.i < sagSteady*now.i-slack || b.v-later.v > sagStep*(top.v-now.v)+s.meanUnsure(&b, &later) {
			return false
		}
		later, end = b, k
	}
	_, before, _ := tr.mean(max(tr.tailEnd(at, rows, sagQuick), 0), at)
	return before >= sagSteady*now.i-slack && later.v > top.v-sagStep*(top.v-now.v)-s.meanUnsure(&later, top)
}

// chargedBelow reports whether as much had flowed for long before bin at, at a lower voltage.
func (s *sight) chargedBelow(at int, top, now *block) bool {
	tr := &s.c.trace
	seconds := 0.0
	for k := 0; k < at && seconds < sagEarlier; k++ {
		if b := &tr.bins[k]; b.i() >= sagSteady*now.i && b.v() < top.v*(1-sagFall) {
			seconds += tr.bins[k+1].t0 - b.t0
		}
	}
	return seconds >= sagEarlier
}
