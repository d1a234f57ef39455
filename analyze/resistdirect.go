package analyze

import (
	"fmt"
	"math"
)

// DirectResistance is how far a battery's voltage answers, within so many seconds, to a current
// that begins, for each ampere: the direct current resistance of cell standards, which is read
// some seconds after a step (reference, section 8: 1 to 20 s). What has polarised by then is in it,
// and what it has filled, so it is larger than what a battery answers at once; but rows far apart tell it.
type DirectResistance struct {
	AtS     Number `json:"at_s"`
	Ohm     Number `json:"ohm"`
	OhmU95  Number `json:"ohm_u95"`
	ToA     Number `json:"to_a"`
	Seconds Number `json:"seconds"`
	Method  string `json:"method"`
}

// Whether rows come each second or each ten, the answer is read after the same time, so that a
// change of the logger is no change of the battery; where they come more slowly, after a longer one.
var directSeconds = [...]float64{20, 60, 120}

const (
	directRows  = 2    // intervals that must fit in
	directFrom  = 0.05 // of the current, what may have flowed before it
	vagueDirect = 0.20 // of the resistance: one with more u95 is left out
)

// directsKept is how many are told of: a charge begins once, and a charger that pauses
// begins again.
const directsKept = 8

func (l *ledger) directly(r DirectResistance) {
	if len(l.direct) < directsKept {
		l.direct = append(l.direct, r)
	}
}

// direct reads that resistance of a step up from nothing, or nearly. It is false where the rows
// do not tell.
func (o *openStep) direct(volts, amps *meter, opt *Options) (r DirectResistance, ok bool) {
	after, before := o.steadyAfter(), o.steadyBefore()
	if len(after) < afterLeast || len(before) < beforeLeast {
		return r, false
	}
	from, to := meanAmps(before), meanAmps(after)
	if !(to > 0) || math.Abs(from) > directFrom*to {
		return r, false
	}
	at := (o.from + o.to) / 2
	seconds := directAfter(after)
	line := lineThrough(before)
	change, slope, ok := o.answer(after, &line, at, seconds)
	if !ok {
		return r, false
	}
	filled := o.filled(after, change, at, seconds, &line)
	noise, digit := volts.noise(), volts.step()/math.Sqrt(12)
	row := noise*noise + digit*digit
	// The step was somewhere between two rows (rectangular).
	timing := slope * (o.to - o.from) / 2 / seconds / math.Sqrt(3)
	uVolts := math.Sqrt(line.variance(at+seconds, row) + row + 2*digit*digit + timing*timing + filled*filled)
	uAmps := math.Sqrt(amps.noise()*amps.noise()*(1/float64(len(before))+1/float64(len(after))) + amps.step()*amps.step()/6)
	gain := (opt.Current.orDefault().Fraction + opt.Voltage.orDefault().Fraction) / math.Sqrt(6) // as two equal ones
	ohm := change / (to - from)
	u95 := 2 * ohm * math.Sqrt(math.Pow(uVolts/change, 2)+math.Pow(uAmps/(to-from), 2)+gain*gain)
	if !(ohm > 0) || u95 > vagueDirect*ohm {
		return r, false
	}
	return DirectResistance{Number(at), Number(ohm), Number(u95), Number(to), Number(seconds),
		fmt.Sprintf("the voltage %.0f s after a current of %.3g A began, less what it was before, over the current; the beginning is known within %.3g s", seconds, to, o.to-o.from)}, true
}

// filled is how far the voltage may have moved until then because the battery fills, which is no
// resistance: at most as fast as it moves later, when less polarises. One standard uncertainty, V.
func (o *openStep) filled(after []stepRow, change, at, seconds float64, line *straight) float64 {
	last := &after[len(after)-1]
	if last.t-at <= seconds {
		return math.Abs(change)
	}
	return math.Abs(last.v-line.at(last.t)-change) / (last.t - at - seconds) * seconds / math.Sqrt(3)
}

// directAfter is how long after a step its answer is read, s; 0 where rows are too far apart.
func directAfter(after []stepRow) float64 {
	for _, seconds := range directSeconds {
		if directRows*(after[2].t-after[0].t)/2 <= seconds*(1+onBeat) {
			return seconds
		}
	}
	return 0
}

// answer is how far the voltage has moved by then, V, between two rows along the logarithm of
// time, as polarisation goes; and how much it moves for each e-fold of time.
func (o *openStep) answer(after []stepRow, line *straight, at, seconds float64) (volts, slope float64, ok bool) {
	for k := 1; k < len(after); k++ {
		a, b := &after[k-1], &after[k]
		if b.t-at < seconds {
			continue
		}
		if a.t-at > seconds || a.t <= at {
			return 0, 0, false
		}
		va, vb := a.v-line.at(a.t), b.v-line.at(b.t)
		slope = (vb - va) / math.Log((b.t-at)/(a.t-at))
		return va + slope*math.Log(seconds/(a.t-at)), slope, true
	}
	return 0, 0, false
}
