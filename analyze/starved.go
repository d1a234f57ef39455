package analyze

import "math"

// A charger that has to give way while it holds a voltage, to heat or to its own timer, takes
// the current down in one step, to one that it keeps; the voltage falls from the limit and goes
// where the battery wants it. A tail looks different, for there the voltage stays; so does a
// float, which holds another voltage while the current goes as it likes; and so does the
// trickle after the end, before which the current had faded. Common practice, no source.
const (
	starvedDrop    = 0.003 // of the held voltage, below it
	starvedSteady  = 0.05  // of the current: what is kept
	starvedMoves   = 0.005 // of the held voltage: so far the voltage went meanwhile
	starvedSeconds = 3600  // so long the current was kept
	starvedSettles = 300   // s after the step that do not count
	starvedSteps   = 10    // of the meter: less current does not show whether it is kept
)

// starvedSince is when a charger gave way at the held voltage, s, looking from bin cv to end;
// NaN where it did not.
func starvedSince(tr *trace, cv, end int, held, set float64, volts, amps *meter) float64 {
	now := tr.ending(cv, end, 8, starvedSettles)
	below := held * (1 - starvedDrop)
	if now.v > below || now.i < starvedSteps*amps.step() {
		return Unknown()
	}
	slack := max(starvedSteady*now.i, 5*amps.noise(), 1.5*amps.step())
	k := end
	for k > cv && tr.bins[k-1].v() < below && math.Abs(tr.bins[k-1].i()-now.i) <= slack {
		k--
	}
	// The bin before may be mixed of both.
	if k == end || k-2 < cv || tr.bins[end-1].t1-tr.bins[k].t0 < starvedSeconds || tr.bins[k-2].i() < droppedShare*set {
		return Unknown()
	}
	at := tr.bins[k-1].t1
	low, high := math.Inf(1), math.Inf(-1)
	for from := tr.index(at + starvedSettles); from < end; {
		to := max(tr.index(tr.bins[from].t0+starvedSettles), from+1)
		b := tr.blockOf(from, min(to, end))
		low, high = min(low, b.v), max(high, b.v)
		from = to
	}
	if high-low < max(starvedMoves*held, 3*volts.noise()) {
		return Unknown()
	}
	return at
}
