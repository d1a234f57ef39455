package analyze

import "math"

// The step in the plateau of LiFePO4. Where the graphite goes from its second stage to its
// first, the voltage climbs by some 25 mV a cell, and stands again: in published curves of
// charge at 0.6 to 0.7 of what the cell holds, the fresher the earlier. Nothing else on the plateau
// tells how full a cell is, and the rest voltage before tells least there. How much goes in
// after the step is known, in ampere-hours, better than all that went in before it, too: of
// a capacity that is a tenth smaller than its label it takes a third of the error.
const (
	stepWindow     = 0.025 // of capacity that one mean of the voltage is over
	stepWindows    = 60    // at the most, whatever was stated as capacity
	stepFrom       = 0.02  // of capacity: before that the voltage climbs for other reasons
	stepLeast      = 0.007 // V a cell that it climbs within two windows, at the least,
	stepMost       = 0.040 // and at the most,
	stepBefore     = 1.3   // and so many times the least that it climbs before,
	stepAfterwards = 2     // and after
	stepAt         = 0.64  // of what the cell holds, the middle of it
	stepSpread     = 0.03
	stepSteady     = 0.03 // share by which the current may change meanwhile
)

// plateau is the charge to go until full, C, by the step in the plateau; only where it
// lies behind.
func (s *sight) plateau() (togo guess, ok bool) {
	q, cells := s.o.Capacity, float64(s.c.bounds.of.cells)
	if q <= 0 || cells == 0 || s.v.id.chemistry != LiFePO4 {
		return guess{}, false
	}
	tr := &s.c.trace
	last, begin := tr.bins[s.end].at.in, s.c.begin.sum.in+stepFrom*q
	width := max(stepWindow*q, (last-begin)/stepWindows)
	var room [stepWindows + 1]float64
	volts, k := room[:0], tr.indexIn(begin)
	amps := Unknown()
	for in := begin + width; in <= last && len(volts) < cap(volts); in += width {
		to := min(tr.indexIn(in), s.end)
		v := Unknown()
		if to > k {
			b := tr.blockOf(k, to)
			// A pause, or another current, moves the voltage by itself.
			flowed := (tr.bins[to].at.in - tr.bins[k].at.in) / (tr.bins[to].t0 - tr.bins[k].t0)
			if math.Abs(b.i-flowed) < stepSteady*b.i && !(math.Abs(b.i-amps) > stepSteady*b.i) {
				v = b.v
			}
			amps = b.i
		}
		volts, k = append(volts, v), max(to, k)
	}
	at, ok := stepOf(volts, cells, s.volts.step())
	if !ok {
		return guess{}, false
	}
	behind := last - (begin + (at+0.5)*width)
	factor, _ := needFactor(LiFePO4)
	u := math.Hypot(stepSpread, (1-stepAt)*capacitySpread)
	return guess{(1-stepAt)*factor*q - behind, u * q}, true
}

// stepOf is the window in whose middle the first step lies: it climbs there more than in
// the windows before, and than anywhere after it. What only makes good for a pause, in which the
// voltage sank, is none.
func stepOf(volts []float64, cells, digit float64) (at float64, ok bool) {
	before, highest := math.Inf(1), math.Inf(-1)
	for k := 1; k+1 < len(volts); k++ {
		if volts[k-1] > highest {
			highest = volts[k-1]
		}
		if k > 2 {
			if r := volts[k-1] - volts[k-3]; r < before {
				before = r
			}
		}
		rise := min(volts[k+1]-volts[k-1], volts[k+1]-highest)
		if !(rise > stepLeast*cells+digit/2) || rise > stepMost*cells || !(rise > stepBefore*max(before, 0)) {
			continue
		}
		after, top := math.Inf(1), true
		for j := k + 1; j+1 < len(volts); j++ {
			r := volts[j+1] - volts[j-1]
			top = top && !(r > rise && j <= k+2)
			if j >= k+2 && r < after {
				after = r
			}
		}
		if top && rise > stepAfterwards*max(after, 0) {
			return float64(k), true
		}
	}
	return 0, false
}
