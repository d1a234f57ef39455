package analyze

import (
	"fmt"
	"math"
)

// No taper: at a held voltage the current levels off above the tail for hours. A
// battery that fills takes less and less: even the slowest taper, a power law,
// falls by a tenth and more while its time grows by a third. One that stands is
// not filling any more: all of it makes gas and heat, or passes beside the
// battery. Judged over two hours (lithium: one), or a third of the time at held
// voltage where that is longer, and only while the voltage has not been raised
// meanwhile. Level is what stood all the time: a load that comes on beside a taper
// brings the current back to where it was, and says nothing of the battery until
// it has stayed on as long. Nor does a current that stands because the charger
// sets it, up to a voltage at which it stops for a while, as some do that look after
// a full battery: then no voltage is held, nor where a weak supply
// sags beside a battery that fills, below what any charger holds; nor the small current of its own with which some
// end (lastcurrent.go). Without a known capacity the tail follows from what went in, which is little where the battery came
// half full. What may be the tail of a battery as large as the usual charger is for is then judged only after
// so long as no charger holds its limit by the clock. It clears when the current falls by a tenth in that time, at the tail, and
// when the current has stopped. Thresholds: common practice, no source.
const (
	levelSecondsLead    = 2 * 3600 // s
	levelSecondsLithium = 3600
	levelSecondsUnknown = 6 * 3600 // where the capacity is not known: a clock allows four to eight hours at the limit, some of which a taper takes
	levelFillsIn        = 10.0     // h in which the usual charger fills what it is for
	levelShare          = 0.3      // of the time at held voltage
	levelFall           = 0.05     // of the current: less is level
	levelFalls          = 0.10     // more clears the finding
	levelAboveTail      = 1.2      // times the tail
	levelOfSet          = 0.05
	levelBlock          = 300       // s that are averaged
	levelSwing          = heldRisen // of the voltage: what goes up and down by more is not held
)

func noTaper(s *sight) claim {
	if Known(s.v.finish) || s.end-s.constantAt < 8 || s.still(CodeThermalRunaway) || s.frozen || s.v.id.onTheWay || s.creeping() {
		return claim{}
	}
	tr := &s.c.trace
	now := tr.ending(s.constantAt, s.end, 8, levelBlock)
	held := s.now - tr.bins[s.constantAt].t0
	window := max(s.levelSeconds(now.i), levelShare*held) * s.o.Patience.of(CodeNoTaper)
	if held < 1.2*window {
		return claim{}
	}
	then := tr.ending(s.constantAt, tr.index(s.now-window)+1, 8, levelBlock)
	fall, most := then.i-now.i, levelFall
	if s.still(CodeNoTaper) {
		most = levelFalls
	}
	sure := 2 * s.amps.noise() * math.Sqrt(1/now.rows+1/then.rows)
	if fall+sure > most*then.i || now.i < max(levelAboveTail*s.v.limit.at(s.went()), levelOfSet*s.v.set) || now.i < 2*s.amps.step() {
		return claim{}
	}
	if tr.ebb(s.constantAt, s.now-window, window) < now.i*(1-levelFalls) {
		return claim{}
	}
	if now.v > then.v+max(runawaySlack*then.v, s.volts.step()) || now.v < s.v.held*(1-floatDrop) || lastCurrent(tr, &s.c.hold, s.amps) < s.end {
		return claim{}
	}
	if low, high := tr.between(tr.index(s.now-window), s.end, (*bin).v); high-low > max(levelSwing*s.v.held, 2*s.c.hold.slack) {
		return claim{}
	}
	return claim{holds: true, since: then.t0, message: fmt.Sprintf("at the held %.2f V the current has stood at about %.3g A for %s and falls no more, above the tail of %.3g A: %s",
		now.v, now.i, clock(now.t1-then.t0), s.v.limit.at(s.went()), s.levelCause(now.i))}
}

// levelSeconds is how long a current must have stood, s.
func (s *sight) levelSeconds(amps float64) float64 {
	limit := &s.v.limit
	switch {
	case s.v.id.chemistry.Lithium():
		return levelSecondsLithium
	case limit.amps == 0 && amps < limit.fraction*levelFillsIn*s.v.set:
		return levelSecondsUnknown
	}
	return levelSecondsLead
}

// ebb is the least current at the quarters of a time of so many seconds, A: where it
// stood, no less than at both ends.
func (tr *trace) ebb(start int, from, seconds float64) float64 {
	least := math.Inf(1)
	for _, share := range [3]float64{0.25, 0.5, 0.75} {
		b := tr.ending(start, tr.index(from+share*seconds)+1, 8, levelBlock)
		least = min(least, b.i)
	}
	return least
}

// levelCause says what a level current at held voltage may mean, the likelier
// first: gassing at room temperature takes a few hundredths of capacity an hour at
// most, so much more goes elsewhere.
func (s *sight) levelCause(amps float64) string {
	const gassing = 0.03 // of capacity per hour
	load := "a load hangs on the charger beside the battery"
	gas := "the battery is full and gasses without end"
	if s.atLimitAtOnce() {
		gas = "it is sulphated, for it came to the limit at once though it was empty, and gasses"
	}
	if s.v.id.chemistry.Lithium() {
		gas = "a cell leaks"
	}
	if c := s.o.Capacity; c > 0 && amps > gassing*c/secondsPerHour || c <= 0 && amps > s.v.set/4 {
		return load + ", a cell is shorted, or " + gas + ". Unplug other consumers; if it stays and the battery is warm, switch off"
	}
	return gas + ", a cell is weak, or " + load + ". Feel whether it is warm, look at the acid; the charge may be ended by hand"
}
