package daemon

import (
	"math"
	"slices"
)

// pair is what a line says of voltage and current.
type pair struct{ volts, amps float64 }

// leapt tells whether current has begun to flow, or ended, beyond all doubt: over
// days without current even a rare chance in the noise would come. A quarter of the
// lines without current is enough; a charger that is switched on at once leaves few.
func leapt(rows []pair) bool {
	const clear, few = 20, 3
	amps := make([]float64, len(rows))
	for k := range rows {
		amps[k] = math.Abs(rows[k].amps)
	}
	slices.Sort(amps)
	if len(amps) < 2*few {
		return false
	}
	usual := amps[len(amps)/4]
	for _, a := range amps {
		if a > 0 {
			usual = max(usual, a) // at least the smallest that the meter shows
			break
		}
	}
	return amps[len(amps)-few] > clear*usual || switched(rows)
}

// switched tells whether a current that is nought to the last digit on one side of one
// moment flows on the other, and the voltage leapt then. Where the current is held as
// steadily as the meter can show, it says nothing of how finely it shows it.
func switched(rows []pair) bool {
	const clear, few, most = 2.5, 3, 8
	at := 0
	for k := 1; k < len(rows); k++ {
		if (rows[k].amps == 0) != (rows[k-1].amps == 0) {
			if at > 0 {
				return false // it goes to and fro
			}
			at = k
		}
	}
	if at < few || len(rows)-at < few {
		return false
	}
	var steps []float64
	for k := 1; k < len(rows); k++ {
		if d := math.Abs(rows[k].volts - rows[k-1].volts); d > 0 {
			steps = append(steps, d)
		}
	}
	before, after := median(rows[max(0, at-most):at]), median(rows[at:min(at+most, len(rows))])
	return len(steps) > 0 && math.Abs(after-before) > clear*middle(steps)
}

// median is that of the voltage.
func median(rows []pair) float64 {
	volts := make([]float64, len(rows))
	for k := range rows {
		volts[k] = rows[k].volts
	}
	return middle(volts)
}

// middle sorts, and gives the value in the middle.
func middle(x []float64) float64 {
	slices.Sort(x)
	return x[len(x)/2]
}

// flows tells whether current has been flowing one way for a while, and more of it than
// the nought of any meter is off by (our own figure).
func flows(rows []pair) bool {
	const clear, share = 0.1, 4 // A; of the rows
	late := rows[len(rows)-len(rows)/share:]
	for k := range late {
		if math.Abs(late[k].amps) < clear || late[k].amps*late[0].amps < 0 {
			return false
		}
	}
	return len(late) > 0
}
