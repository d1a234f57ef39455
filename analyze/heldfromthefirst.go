package analyze

import "math"

// A battery whose plates are sulphated, or that has dried out, takes so little at the limit from the
// first row on that its charger never comes near its set current, and the little hardly changes: no
// taper tells of the limit. The leap does, and that the voltage stands after it. A current that a
// charger sets lifts a sound battery by some tenths of a volt a cell at most, from where it climbs for
// hours; through plates, or a clamp, of so high a resistance that it lifts an empty one to where a full
// one gasses, the voltage would go along with that resistance, which changes as the sulphate gives way and the
// acid mixes. Asked only of lead-acid that was stated, with its
// capacity, and that stood empty: a full battery comes to its
// gassing with any current, and stands there. Common practice, no source.
const (
	atFirstWithin  = 120    // s; or
	atFirstBins    = 2      // rows of a slow log
	atFirstVolts   = 2.3    // V a cell: less is no absorption, but may be what a current lifts it to
	atFirstSeconds = 1800   // s that it stood
	atFirstStands  = 0.0005 // of the voltage, by which it moved at most
	atFirstFills   = 0.5    // of what was missing by the voltage before: until then it cannot be full
)

// heldFromTheFirst looks for a voltage that an empty battery leapt to and that has stood since.
func (c *charge) heldFromTheFirst(o *Options, volts *meter) hold {
	tr := &c.trace
	n := len(tr.bins) - 1
	if c.late || !o.Chemistry.Lead() || o.Capacity <= 0 || n < heldBins || tr.bins[n-1].t1-tr.bins[0].t0 < atFirstSeconds {
		return hold{}
	}
	cells := c.bounds.of.cells
	if s, told := StateOfCharge(o.Chemistry, c.resting, cells, Unknown()); !told || s.High >= littleEmpty {
		return hold{}
	}
	level, _, rows := tr.mean(n/2, n)
	slack := max(heldSlack*level, min(3*volts.noise()/math.Sqrt(rows/float64(n-n/2)), heldWidest*level), 1.2*volts.step())
	from := heldSince(tr, n, level, slack)
	if level < atFirstVolts*float64(cells) || n-from < heldBins || from > atFirstBins && tr.bins[from].t0-tr.bins[0].t0 > atFirstWithin {
		return hold{}
	}
	q, moved, fewest := quarters(tr, from, n)
	if math.Abs(moved) > max(atFirstStands*level, unresolved*volts.step())+2*volts.noise()*math.Sqrt(2/fewest) {
		return hold{}
	}
	return hold{found: true, leapt: true, from: tr.bins[from].t0, volts: level, seen: tr.bins[n-1].t1, slack: slack, first: q[0], last: q[3], least: min(q[0], q[3]), kept: tr.bins[n-1].t1, fed: level}
}

// heldSince is the first of the bins before end from which on the voltage is near a level.
func heldSince(tr *trace, end int, level, slack float64) int {
	from, stray := end, 0
	for k := end - 1; k >= 0; k-- {
		if math.Abs(tr.bins[k].v()-level) <= slack {
			from, stray = k, 0
		} else if stray++; stray > strayBins {
			break
		}
	}
	return from
}

// climbed reports whether a voltage that was leapt to went up after all, or sank while the current
// stayed: the charger set that, and its limit has not come.
func (h *hold) climbed(tr *trace, v, i float64) bool {
	if v > h.volts*(1+heldRisen) {
		return true
	}
	return !h.left && v < h.volts-h.slack && i > heldBack*tr.ending(0, tr.index(h.kept)+1, 4, heldSeconds).i
}

// wearsOff reports whether a current that climbs at such a limit does so because the sulphate gives way: what runs away is
// full, and this one has taken little yet of what was missing.
func (s *sight) wearsOff() bool {
	state, _, empty := s.stoodEmpty()
	return s.c.hold.leapt && empty && s.went()+s.c.unseen < atFirstFills*(1-state.High)*s.o.Capacity
}
