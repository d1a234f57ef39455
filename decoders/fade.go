package decoders

import "math"

// A current that goes down little by little while the voltage stays at its highest is that of a charge
// whose voltage is held: nothing else fades so (physics; nothing to cite). What draws from a battery goes
// down as the voltage does. A log may begin there, without a step that would tell the sign; and where the
// charger holds the voltage, its drift tells none.

const (
	heldWithin = 0.01 // share by which a voltage that is held goes at most
	fadesMore  = 10   // times the voltage's share that the current goes down by
	fadesFar   = 0.1  // of the current, so that it is not the meter's drift
	fadesOn    = 0.1  // of that, by which it goes in either half: in one go it does not fade (these are our own figures)
)

// fade is a current that goes down while the voltage is held.
type fade struct {
	lost float64 // share of the current that is gone; 0 if it is no such one
	way  float64 // sign of the current
}

func fadeOf(v, i *column) (f fade) {
	if i.idles() {
		return f
	}
	volts, amps := column{stats: v.stats}, column{stats: i.stats}
	for k, x := range i.x {
		if y := v.x[k]; math.Abs(x) > 0.1*i.size() && math.Abs(y) > (1-heldWithin)*v.size() {
			volts.x, amps.x = append(volts.x, y), append(amps.x, x)
			f.way += sign(x)
		}
	}
	a, b := amps.course(), volts.course()
	lost, halfway := -a.goes()/a.early, (a.early-a.midway)/(a.early-a.late)
	if lost > fadesMore*math.Abs(b.late-b.early)/b.early && halfway > fadesOn && halfway < 1-fadesOn {
		f.lost = lost
	}
	return f
}
