package madeup

import "math"

// Charger is a charger's settings and habits. A zero switches a habit off.
type Charger struct {
	Amps  float64 // A, the current limit
	Watts float64 // W, a limit of the source's power
	Volts float64 // V, the voltage limit

	TailAmps   float64 // A at the voltage limit, below which the charge ends
	FloatVolts float64 // V, held after the tail instead of ending
	FloatFor   float64 // s
	PeakDrop   float64 // V below the peak at which a nickel charge ends
	Timer      float64 // s after which it ends whatever the battery says

	SoftStart      float64 // s from nothing to the full current
	PauseEvery     float64 // s from pause to pause, to look at the open circuit
	PauseFor       float64 // s
	Overshoot      float64 // V above the limit as it is reached
	OvershootDecay float64 // s
	Drift          float64 // V by which the held voltage wanders up and down
	DriftPeriod    float64 // s
	ThrottleAfter  float64 // s after which the warm charger gives less
	ThrottleTo     float64 // share of the current limit that is left
}

// confirm is how long a charger watches a tail current or a fallen peak before
// it believes it, in s.
const confirm = 20

// blanking is how long a nickel charger ignores the voltage's fall, in s.
const blanking = 600

// charging is a charger at work on one charge.
type charging struct {
	Charger
	on       float64 // s since it was switched on
	ramp     float64 // s since current last began
	limited  bool    // the voltage limit rules
	touched  float64 // s on the charger's clock when it first ruled
	tail     float64 // s that the tail has lasted
	floating float64 // s of float; 0 before
	peak     float64 // V
	done     bool
}

func (c Charger) start() charging { return charging{Charger: c, touched: math.NaN()} }

// step is one tick of charging. It gives the volts and amperes at the charger's
// leads; load is drawn there beside the battery.
func (c *charging) step(p *pack, volts, load float64, lost bool) (v, a float64) {
	c.on += tick
	if lost || c.pausing() {
		c.ramp, c.limited = 0, false
		return p.feed(-load), 0
	}
	c.ramp += tick
	v, a = c.drive(p, c.currentLimit(volts), c.voltageLimit(), load)
	c.judge(v, a)
	return v, a
}

func (c *charging) pausing() bool {
	return c.PauseEvery > 0 && c.on >= c.PauseEvery && math.Mod(c.on, c.PauseEvery) < c.PauseFor
}

// currentLimit is what the source can give at these volts.
func (c *charging) currentLimit(volts float64) float64 {
	amps := c.Amps
	if c.Watts > 0 && volts > 0 {
		amps = min(amps, c.Watts/volts)
	}
	if c.ThrottleAfter > 0 && c.on > c.ThrottleAfter {
		amps *= c.ThrottleTo
	}
	if c.ramp < c.SoftStart {
		amps *= c.ramp / c.SoftStart
	}
	return amps
}

func (c *charging) voltageLimit() float64 {
	if c.Volts == 0 {
		return math.Inf(1)
	}
	v := c.Volts
	if c.floating > 0 {
		v = c.FloatVolts
	} else if c.Overshoot != 0 {
		v += c.Overshoot
		if c.on >= c.touched {
			v = c.Volts + c.Overshoot*math.Exp(-(c.on-c.touched)/c.OvershootDecay)
		}
	}
	if c.Drift != 0 {
		v += c.Drift * math.Sin(2*math.Pi*c.on/c.DriftPeriod)
	}
	return v
}

// drive lets the stricter of the two limits rule. The one that ruled last is
// tried first; a charger cannot draw current out of the battery.
func (c *charging) drive(p *pack, amps, volts, load float64) (v, a float64) {
	before := *p
	if !c.limited {
		if v = p.feed(amps - load); v <= volts {
			return v, amps
		}
		*p = before
	}
	a = p.hold(volts) + load
	switch {
	case a > amps:
		*p, c.limited = before, false
		return p.feed(amps - load), amps
	case a < 0:
		*p, c.limited = before, true
		return p.feed(-load), 0
	}
	c.limited = true
	if math.IsNaN(c.touched) {
		c.touched = c.on
	}
	return volts, a
}

// judge decides whether the charge has come to its end.
func (c *charging) judge(v, a float64) {
	switch {
	case c.Timer > 0 && c.on >= c.Timer:
		c.done = true
	case c.floating > 0:
		c.floating += tick
		c.done = c.floating > c.FloatFor
	case c.TailAmps > 0 && c.limited && a <= c.TailAmps:
		if c.tail += tick; c.tail < confirm {
			return
		}
		if c.FloatVolts > 0 {
			c.floating = tick
		} else {
			c.done = true
		}
	case c.PeakDrop > 0 && c.on > blanking:
		c.peak = max(c.peak, v)
		c.done = v < c.peak-c.PeakDrop
	default:
		c.tail = 0
	}
}
