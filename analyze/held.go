package analyze

import "math"

// hold is the sight of a charger's voltage limit at work.
type hold struct {
	found bool
	from  float64 // s, where the stretch of held voltage seemed to begin
	volts float64 // V, its level when it was seen
	seen  float64 // s, when it was seen
	slack float64 // V, how far from the level still counted as held
	first float64 // A, mean current of the first quarter of what was seen
	last  float64 // A, of the last quarter
	least float64 // A, the least current since
}

const (
	heldSlack    = 0.0025 // of the voltage: 36 mV in 14.4 V, wider than usual drift, narrower than a step to float
	heldSeconds  = 60
	heldBins     = 8 // fewer, down to four, if the fall is steep
	steepFall    = 0.12
	heldFall     = 0.025 // of the current: at a held voltage, a source limited in power loses a tenth of that
	strayBins    = 2     // so many odd bins in a row (a pause, a spike) do not end the stretch
	heldRisen    = 0.01  // of the voltage: risen so far above, it was not held
	heldTaper    = 0.9   // of the current: fallen to less, it was
	quarterSlack = 0.02  // of the whole fall: how little each quarter may fall
)

// findHold looks, from the end of the trace back, for a voltage that is held
// while the current falls. That, not the level of either, is what tells constant
// voltage: under a current limit the voltage rises or (on a plateau) stands, but
// then the current stands too; a charger that throttles drops the current once,
// and the voltage with it. The fall must therefore go on through all four
// quarters of the stretch.
func findHold(tr *trace, volts, amps *meter) hold {
	n := len(tr.bins) - 1 // the last bin is still open
	if n < 4 {
		return hold{}
	}
	ref := tr.tailEnd(n, 4, 0)
	level, _, rows := tr.mean(ref, n)
	if level <= 0 {
		return hold{}
	}
	perBin := rows / float64(n-ref)
	slack := max(heldSlack*level, 3*volts.noise()/math.Sqrt(perBin), 1.2*volts.step())
	from, stray := ref, 0
	for k := ref - 1; k >= 0; k-- {
		if math.Abs(tr.bins[k].v()-level) <= slack {
			from, stray = k, 0
		} else if stray++; stray > strayBins {
			break
		}
	}
	if n-from < 4 || tr.bins[n-1].t1-tr.bins[from].t0 < heldSeconds {
		return hold{}
	}
	q, fewest := quarters(tr, from, n)
	fall := q[0] - q[3]
	need := max(heldFall*q[0], 4*amps.noise()*math.Sqrt(2/fewest), 1.5*amps.step())
	if n-from < heldBins {
		need = max(need, steepFall*q[0])
	}
	if fall < need {
		return hold{}
	}
	for k := range 3 {
		if q[k]-q[k+1] < quarterSlack*fall {
			return hold{}
		}
	}
	return hold{found: true, from: tr.bins[from].t0, volts: level, seen: tr.bins[n-1].t1, slack: slack, first: q[0], last: q[3], least: q[3]}
}

// quarters is the mean current of each quarter of the bins, and the rows in the
// poorest of them.
func quarters(tr *trace, from, to int) (q [4]float64, fewest float64) {
	fewest = math.Inf(1)
	for k := range q {
		a, b := from+k*(to-from)/4, from+(k+1)*(to-from)/4
		_, i, rows := tr.mean(a, b)
		q[k], fewest = i, min(fewest, rows)
	}
	return q, fewest
}

// disproved reports whether a hold was none after all: the voltage went on to
// rise well above it, and the current has hardly fallen. Noise in a slow log can
// look like the beginning of a taper.
func (h *hold) disproved(tr *trace) bool {
	n := len(tr.bins) - 1
	v, i, _ := tr.mean(tr.tailEnd(n, 4, heldSeconds), n)
	h.least = min(h.least, i)
	return v > h.volts*(1+heldRisen) && h.least > heldTaper*h.first
}
