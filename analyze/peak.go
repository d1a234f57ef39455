package analyze

import "math"

// A nickel cell's voltage peaks when it is full and then sinks by 5 to 10 mV
// (NiMH) or 10 to 20 mV (NiCd); chargers stop there. 3 mV is the most that one
// racing body's rules allow as a cut-off, the others are from memory.
const (
	peakDrop    = 0.003 // V a cell
	nickelCellV = 1.48  // V a cell near the end of charge at 20 C
	nickelLow   = 1.35
	nickelHigh  = 1.65
	peakDigits  = 2.2  // of a meter too coarse for it, that the voltage of a battery of an unknown kind must sink by
	peakCoarse  = 1.5  // times the least that it sinks by: a meter is too coarse whose digit is more
	peakLoad    = 0.1  // of the voltage: about so much goes with the current, which the mains make wander
	peakStepped = 0.6  // of the highest current that lasted a minute: with less the charger has done with it
	peakSure    = 8    // times the noise of a block: the highest of thousands lies four above their mean, the last one to four below
	peakQuick   = 0.3  // of capacity per hour: makers want that much where a charger waits for the voltage to sink
	quickFactor = 1.5  // of capacity goes in by such a charge at the most: more makes heat only
	peakSteady  = 0.95 // of the current at the peak: a voltage that sinks with the current proves nothing
)

// Half full, nickel stands within a tenth of where it will peak: 1.36 V a cell and 1.46 V at a
// tenth of capacity, 1.42 V and 1.55 V at a quick charge; lead-acid that gasses climbs by up to
// a quarter. From its peak it sinks by some millivolts a minute, as it warms by a kelvin or two.
// Before a charge it stands at 1.45 V a cell at most, minutes after another one.
// From memory.
const (
	nickelClimb = 1.13
	nickelSinks = 0.02 // V a cell and minute
	nickelRests = 1.5  // V a cell; more for cells that are miscounted
)

// peak is the highest voltage of a nickel charge, if it has been passed.
type peak struct {
	found bool
	at    float64 // s
	volts float64 // V
	drop  float64 // V, how far the voltage has sunk since; 0 where it only ceased to rise
	cells int
	need  float64 // V, that it had to sink
	from  int     // bins of the block in which it was highest
	to    int
}

// levelled reports whether a voltage had ceased to rise by bin end, as nickel's does when it
// is full: slowly, or after a steep climb. A quick charge always climbs steeply, and before that
// levels off half full. Lead-acid that gasses bends over, too, but goes on
// rising; so of what may be another kind it must not.
func levelled(tr *trace, end int, o *Options, volts *meter) bool {
	if end == 0 {
		return false
	}
	last := tr.bins[end-1].v()
	if surelyNickel(o, last) && !quick(tr, end, o) && plateaued(tr, end, volts) {
		return true
	}
	switch {
	case o.Chemistry.Nickel():
		return rounded(tr, end, roundedSlower, volts)
	case o.Chemistry == "" && nickelCells(last) > 0:
		return rounded(tr, end, 0, volts)
	}
	return false
}

// quick reports whether the current by bin end was a quick charge for nickel; of a battery that nobody
// named, whether a quick charge would have lasted as long.
func quick(tr *trace, end int, o *Options) bool {
	if o.Chemistry == "" {
		return tr.bins[end-1].t1-tr.bins[0].t0 < quickFactor/peakQuick*secondsPerHour
	}
	return o.Capacity > 0 && tr.bins[end-1].i() >= peakQuick*o.Capacity/secondsPerHour
}

// fullUntil is the bin before end up to which the current was about as high as it had been
// for some time, A: a nickel charger trickles after its peak, or tops off. The bin in which
// it stepped down is mixed of both.
func (tr *trace) fullUntil(end int, most float64) int {
	full := end
	for full > 0 && tr.bins[full-1].i() < peakStepped*most {
		full--
	}
	if full < end && full > 0 && tr.bins[full-1].i() < peakSteady*most {
		full--
	}
	return full
}

// nickelCells guesses how many nickel cells reach such a voltage; 0 if none do.
func nickelCells(volts float64) int {
	n := int(math.Round(volts / nickelCellV))
	if n < 1 || volts < nickelLow*float64(n) || volts > nickelHigh*float64(n) {
		return 0
	}
	return n
}

// findPeak looks for a voltage that has peaked and sunk at a steady current, in
// the bins before end, which are averaged in blocks to get below the noise.
func findPeak(tr *trace, end, cells int, volts *meter) peak {
	if end < 6 {
		return peak{}
	}
	guess, digits := cells, 1.2
	if guess == 0 {
		if guess = nickelCells(tr.bins[end-1].v()); guess == 0 {
			return peak{}
		}
		if volts.step() > peakCoarse*peakDrop*float64(guess) {
			digits = peakDigits
		}
	}
	need := max(peakDrop*float64(guess), digits*volts.step())
	r := peakSure * volts.noise() / need
	rows := min(max(2, r*r), 256)
	need = max(need, peakSure*volts.noise()/math.Sqrt(rows))
	best := peak{cells: guess}
	tail := tr.tailEnd(end, rows, 0)
	last, i, _ := tr.mean(tail, end)
	if tr.top-last < need {
		return best // it still rises, or stands
	}
	var topI float64
	for k := 0; k < end; {
		e, n, v, i := k, 0.0, 0.0, 0.0
		for e < end && n < rows {
			b := &tr.bins[e]
			n, v, i = n+b.rows, v+b.sumV, i+b.sumI
			e++
		}
		if v/n > best.volts {
			best.volts, best.at, topI = v/n, (tr.bins[k].t0+tr.bins[e-1].t1)/2, i/n
			best.from, best.to, best.need = k, e, need
		}
		k = e
	}
	best.drop = best.volts - last
	best.found = best.drop >= need+peakLoad*max(1-i/topI, 0)*last && i >= peakSteady*topI && best.at < tr.bins[tail].t0
	return best
}

// likeNickel reports whether a voltage that has peaked did so as nickel's does, of a battery
// that nobody named, and that stood at so many volts before, as far as is known. Any battery's sinks at a steady
// current where its warmth lets it, or where a load comes on beside it.
func (p *peak) likeNickel(tr *trace, end int, rested float64, volts *meter) bool {
	if rested > nickelRests*float64(p.cells) || p.sagged() {
		return false
	}
	top := tr.index(p.at)
	half := tr.index((tr.bins[0].t0 + p.at) / 2) // at a steady current
	if v, _, _ := tr.mean(max(half-2, 0), half+3); p.volts > nickelClimb*v {
		return false
	}
	for k := top + 1; k < end; k++ {
		a, b := &tr.bins[k-1], &tr.bins[k]
		fell := a.v() - b.v()
		if fell > nickelSinks*float64(p.cells)*max(1, (b.t1-a.t1)/60)+6*volts.noise() {
			return false
		}
	}
	return p.sinksSlowly(tr, end)
}

// sagged reports whether the voltage sank as that of a lead-acid battery does that boils, from where such a battery gasses.
func (p *peak) sagged() bool { return p.drop > sagNickel*p.volts && gassedAt(p.volts, 0) }

// plateaued reports whether the voltage had stopped rising by the end: over the
// last tenth of the charge it rose less than a fifth of its mean pace in the
// half before. It is how nickel charged slowly looks when it is full.
func plateaued(tr *trace, end int, volts *meter) bool {
	if end < 20 {
		return false
	}
	t0, t1 := tr.bins[0].t0, tr.bins[end-1].t1
	at := func(f float64) float64 {
		k := tr.index(t0 + f*(t1-t0))
		v, _, _ := tr.mean(max(k-3, 0), min(k+3, end))
		return v
	}
	late := (at(0.99) - at(0.90)) / 0.09
	early := (at(0.90) - at(0.40)) / 0.50
	return early > 0 && late < early/5 && at(0.99)-at(0.40) > 4*volts.noise()
}
