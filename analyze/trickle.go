package analyze

import "fmt"

// A trickle: before any voltage limit, the current has dropped to a fraction of
// what it was, for an hour, and the voltage with it: where that rises meanwhile, an
// unregulated source gives less to a battery that fills; and where it stands while the current fades on, it is held, by a
// charger that stepped down as soon as it had come to its limit. If it is steady, the charger protects itself from
// heat, has run into its own timer, or waits for an answer; if it goes up and
// down by steps, a load beside the battery takes the rest by turns.
const (
	trickleShare   = 0.2  // of the highest current
	trickleSeconds = 3600 // s
	trickleTurns   = 0.25 // of the current: more between its high and its low is no steady trickle
	nearlyFull     = 0.9  // of a nickel pack's capacity
)

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
	if _, _, fading := fades(tr, tr.index(s.now-trickleSeconds), s.end, now.v, s.volts, s.amps); fading {
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
