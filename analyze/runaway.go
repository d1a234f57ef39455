package analyze

import (
	"fmt"
	"math"
)

// Thermal runaway. At a held voltage the current must fall, hour by hour,
// towards the tail or the float. A lead-acid battery that heats itself takes more
// instead: the current of its side reactions doubles with each ten degrees, that
// heats it further, and it ends in boiling acid or a melted case. So does any cell
// with a growing internal short. What shows first is a current that has turned
// and climbs while the voltage stands, in absorption or on float; a thermometer
// confirms it, since a falling current means a cooling battery.
//
// The climb must be gradual, at no higher voltage, lasting and well beyond noise:
// a step up is a load that was switched on or another stage of the charger; a
// surge that decays follows a raised voltage. One that is quick and large counts within minutes.
// A current that was away comes back as it likes, and one into plates that were sulphated grows as they
// recover (wearsOff). A float current that comes back
// after the step down stays below the tail, or relaxes (relaxing.go), and does not count. It is dated to where
// the current turned, and clears when half of the climb is gone, or the current.
// Thresholds: common practice, no source.
const (
	runawaySeconds = 900  // s that the climb must last
	runawayClimb   = 0.20 // of the lowest current; half of it where the battery heats itself meanwhile
	runawayOfSet   = 0.03 // and of the set current
	runawayWarming = 2.0  // K
	runawayHeats   = 1.0  // K an hour: a room that warms by day takes a battery along more slowly
	runawaySlack   = 0.0005
	runawayBlock   = 120 // s that are averaged
	runawayAway    = 300 // s: a pause that is no look at the battery
	runawayShare   = 0.1 // of the climb that each quarter of it must bring

	surgeSeconds = 180  // s that a quick climb must last
	surgeClimb   = 0.5  // of the lowest current
	surgeOfSet   = 0.1  // and of the set current
	surgeStep    = 0.45 // of the climb: a bin that brings more is a step
)

func runaway(s *sight) claim {
	if c := s.climbing(); c.holds {
		return c
	}
	return s.sags()
}

// climbing claims that the current climbs at the held voltage.
func (s *sight) climbing() claim {
	tr := &s.c.trace
	if s.end-s.constantAt < 4 {
		return claim{}
	}
	rows := tailBlock(s.v.set*runawayOfSet, s.amps)
	now := tr.ending(s.constantAt, s.end, rows, runawayBlock)
	if !s.still(CodeThermalRunaway) && !s.climbs(&now, runawaySeconds, rows) && !s.climbs(&now, surgeSeconds, rows) {
		return claim{} // the usual case, without a search
	}
	low, at := tr.lowest(s.constantAt, s.end, rows, runawayBlock)
	low, at, counts := s.relaxed(&now, &low, at, rows)
	if !counts {
		return claim{}
	}
	climb, warming := now.i-low.i, now.celsius-low.celsius
	need := max(runawayClimb*low.i, runawayOfSet*s.v.set) * s.o.Patience.of(CodeThermalRunaway)
	heats := warming >= runawayWarming && warming >= runawayHeats*(now.t1-low.t1)/secondsPerHour
	if heats || s.still(CodeThermalRunaway) {
		need /= 2
	}
	need = max(need, 4*s.amps.noise()*math.Sqrt(2/min(low.rows, now.rows)), 1.5*s.amps.step())
	if climb < need || now.i <= s.v.limit.at(s.went()) || !heats && s.wearsOff() {
		return claim{}
	}
	higher := max(runawaySlack*low.v, s.volts.step(), 3*s.volts.noise()*math.Sqrt(2/min(low.rows, now.rows)))
	if now.v > low.v+higher {
		return claim{}
	}
	turn := tr.turn(at, s.end, rows, low.i+runawayShare*climb)
	if !s.still(CodeThermalRunaway) && (s.wasAway(turn) || !s.climbsOn(turn, &now, climb) && !s.surged(turn, &low, climb)) {
		return claim{}
	}
	heat := ", its temperature is not known"
	if Known(warming) {
		heat = fmt.Sprintf(" and its temperature by %+.1f K", warming)
	}
	return claim{holds: true, since: turn, message: fmt.Sprintf("at the held %.2f V the current has turned: it climbed from %.3g to %.3g A since %s%s, where it must fall. "+
		"The battery may be heating itself, which ends in fire or boiling acid. Switch the charger off now, keep away from the battery, air the room; let it cool for hours before touching it", low.v, low.i, now.i, clock(turn), heat)}
}

// wasAway reports whether the current was away for long since a time, s.
func (s *sight) wasAway(since float64) bool {
	p := &s.c.pauses
	return since < p.until && p.until-p.last > runawayAway
}

// climbs reports whether the current is more than it was so many seconds ago.
func (s *sight) climbs(now *block, seconds, rows float64) bool {
	tr := &s.c.trace
	return now.i >= tr.ending(0, tr.index(s.now-seconds)+1, rows, runawayBlock).i
}

// climbsOn reports whether a climb has gone on through all quarters of its time, for long enough.
func (s *sight) climbsOn(turn float64, now *block, climb float64) bool {
	tr := &s.c.trace
	from := tr.index(turn)
	if s.end-from < 4 || now.t1-turn < runawaySeconds {
		return false
	}
	q, _, _ := quarters(tr, from, s.end)
	for k := range 3 {
		if q[k+1]-q[k] < runawayShare*climb {
			return false
		}
	}
	return true
}

// surged reports whether the current has grown by half and more within minutes, and not by a step: lithium
// that runs away takes no longer, and comes to what the charger can give, where it climbs no more.
func (s *sight) surged(turn float64, low *block, climb float64) bool {
	tr := &s.c.trace
	from := tr.index(turn)
	crest := from
	for crest < s.end-1 && tr.bins[crest].i() < low.i+(1-runawayShare)*climb {
		crest++
	}
	if climb < max(surgeClimb*low.i, surgeOfSet*s.v.set)*s.o.Patience.of(CodeThermalRunaway) || tr.bins[crest].t()-tr.bins[from].t() < surgeSeconds {
		return false
	}
	for k := from; k < crest; k++ {
		if tr.bins[k+1].i()-tr.bins[k].i() > surgeStep*climb {
			return false
		}
	}
	return true
}

// turn is when a current that has been at its lowest by bin from began to climb for
// good, s: the beginning of the last block that was still about as low.
func (tr *trace) turn(from, to int, rows, about float64) float64 {
	for _, b := range tr.backwards(from, to, rows, runawayBlock) {
		if b.i <= about {
			return b.t0
		}
	}
	return tr.bins[max(from-1, 0)].t1
}

// lowest is the block with the least current, and the bin that ends it, in
// bins [from, to).
func (tr *trace) lowest(from, to int, rows, seconds float64) (least block, end int) {
	least.i = math.Inf(1)
	for k := from; k < to; {
		e, n := k+1, tr.bins[k].rows
		for e < to && (n < rows || tr.bins[e-1].t1-tr.bins[k].t0 < seconds) {
			n += tr.bins[e].rows
			e++
		}
		b := tr.blockOf(k, e)
		if n >= rows && b.i < least.i {
			least, end = b, e
		}
		k = e
	}
	return least, end
}
