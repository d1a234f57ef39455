package analyze

import "math"

// Six lead-acid cells stand at 11.7 to 13.2 V for most of their charge, and that is where three of lithium are held.
// So of a battery that nobody named a limit there is believed only of a current that tapers as a limit lets it: it falls
// ever more slowly, to a fraction. A charger that gives way to its own heat comes down at one pace, and stays where it
// came to; the battery's voltage, which its filling lifts while the current lets it sink, stands meanwhile, or seems to.
// Common practice, no source.
const (
	wayLow     = 1.95 // V a lead-acid cell that is being charged
	wayHigh    = 2.2  // and below what any charger holds
	wayLeft    = 0.4  // of the current: so far it must have fallen
	waySlowing = 1.15 // times as long as for the half of its fall the current needs from there to nine tenths; 0.9 along a line
)

// onTheWay reports whether a usual pack of lead-acid stands at a voltage in mid-charge; cells is the number of them, 0
// unknown.
func onTheWay(volts float64, cells int) bool {
	for _, n := range families[0].cells {
		if v := volts / float64(n); v >= wayLow && v <= wayHigh && (cells == 0 || cells == n) {
			return true
		}
	}
	return false
}

// tapersOff reports whether the current fell by a time, s, from its highest to its least after that, as it does at a limit.
func (tr *trace) tapersOff(until float64) bool {
	most := tr.highest()
	at, least := 0, math.Inf(1)
	for k := min(tr.steady(), tr.index(until)+1) - 1; k >= 0 && tr.bins[k].i() < most; k-- {
		if i := tr.bins[k].i(); i < least {
			at, least = k, i
		}
	}
	if least > wayLeft*most {
		return false
	}
	last := func(fallen float64) float64 {
		k := at
		for k > 0 && tr.bins[k].i() < most-fallen*(most-least) {
			k--
		}
		return tr.bins[k].t1
	}
	half := last(0.5)
	return last(0.9)-half >= waySlowing*(half-last(0.05))
}
