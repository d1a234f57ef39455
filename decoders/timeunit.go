package decoders

import (
	"fmt"
	"math"

	"amphora/analyze"
)

// count adds a column of elapsed time with its unit.
func (tm *timing) count(t *table, col int) {
	c := t.cols[col]
	if u := c.said.unit; u != nil {
		tm.add(t, col, Field{Quantity: Time, Form: u.name}, "its name says so")
		return
	}
	if hasAny(c.name, "millis") {
		tm.add(t, col, Field{Quantity: Time, Form: "ms"}, "its name says so")
		return
	}
	tm.free = true // settle chooses the unit, when voltage and current are known
	tm.add(t, col, Field{Quantity: Time, Form: "s"}, "")
	tm.evidence = tm.evidence[:len(tm.evidence)-1]
}

// settle chooses the unit of a time that has none; the lines took span s to come,
// 0 where nobody knows.
func (tm *timing) settle(t *table, g guess, span float64) {
	if !tm.free || tm.agree(t) {
		return
	}
	const sure = 5           // more than all that speaks against a unit in which rows are as old as they are
	at := len(tm.fields) - 1 // count comes last
	col := tm.cols[at]
	c, shortest := t.cols[col], t.shortest(g)
	best, second := -1, -1
	var score [6]float64
	for i := range score {
		score[i] = beatScore(c, &units[i], shortest) + sure*keepsStep(c, &units[i], span)
		if best < 0 || score[i] > score[best] {
			best, second = i, best
		} else if second < 0 || score[i] > score[second] {
			second = i
		}
	}
	u := &units[best]
	tm.fields[at].Form, tm.fields[at].unit = u.name, u
	tm.seconds = tm.play(t)
	why := fmt.Sprintf("it rises, a row every %.4g s, %s in all", u.si(c.pace()), analyze.Clock(u.si(c.length())))
	if keepsStep(c, u, span) > 0 {
		why = fmt.Sprintf("it rises as the lines come, a row every %.4g s", u.si(c.pace()))
	}
	tm.evidence = append(tm.evidence, fmt.Sprintf("%s is time in %s: %s", t.label(col), u.name, why))
	if tm.free = keepsStep(c, u, span) == 0; tm.free && score[best]-score[second] < 1 {
		other := &units[second]
		tm.unsure = &doubt{from: u.name, to: other.name, what: fmt.Sprintf(
			"the unit of time is not certain; in %s, every duration and every ampere-hour would be %.4g times as much", other.name, other.si(1)/u.si(1))}
	}
}

// agree takes the unit from a clock or stamp beside the count, if there is
// one, or drops a count that goes with neither.
func (tm *timing) agree(t *table) bool {
	at := len(tm.fields) - 1
	if at == 0 {
		return false
	}
	tm.free = false
	col := tm.cols[at]
	count := t.cols[col].x
	clock := timing{fields: tm.fields[:at], cols: tm.cols[:at]}
	seconds := clock.play(t)
	var from, to int
	for from = 0; from < len(count)-1 && !(known(count[from]) && known(seconds[from])); from++ {
	}
	for to = len(count) - 1; to > from && !(known(count[to]) && known(seconds[to])); to-- {
	}
	ratio := (seconds[to] - seconds[from]) / (count[to] - count[from])
	for i := range units[:6] {
		if u := &units[i]; math.Abs(ratio/u.si(1)-1) < 0.05 {
			tm.fields[at].Form, tm.fields[at].unit = u.name, u
			tm.seconds = tm.play(t)
			tm.evidence = append(tm.evidence, fmt.Sprintf("%s is time in %s: it keeps step with the clock beside it", t.label(col), u.name))
			return true
		}
	}
	tm.fields, tm.cols, tm.seconds = clock.fields, clock.cols, seconds
	return true
}

// shortest is the least time in s that what the lines show can have taken: a
// current that tapers at held voltage, or a voltage that goes from one end to
// the other under current, is a good part of a whole charge, and no battery
// takes one in less than about an hour (common practice, no source).
func (t *table) shortest(g guess) float64 {
	const whole, part = 3600, 300
	if g.volts < 0 || g.amps < 0 {
		return part
	}
	v, i := t.cols[g.volts], t.cols[g.amps]
	high, held := 0, 0
	for row, x := range i.x {
		switch size := math.Abs(x); {
		case size > 0.7*i.size():
			high++
		case size < 0.5*i.size() && size > 0.02*i.size() && v.x[row] > 0.98*v.high:
			held++
		}
	}
	if high*10 > i.n && (held*10 > i.n || v.spread() > 0.12*math.Abs(v.median)) {
		return whole
	}
	return part
}

// beatScore tells how well a unit of time suits: loggers beat in round
// numbers of seconds, and charges take hours (common practice, no source).
func beatScore(c *column, u *unit, shortest float64) float64 {
	beat, length := u.si(c.pace()), u.si(c.length())
	s := map[string]float64{"s": 1.5, "ms": 0.6, "min": 0.5, "h": 0.2, "us": -1, "d": -1}[u.name]
	if beatNear(beat) > 0 {
		s++
	}
	s -= beyond(beat, 0.05, 700)
	whole := math.Min(1, float64(c.n)/100) // a few rows may be cut out of any night
	return s - 2*beyond(length, shortest, 40*3600)*whole*whole
}

// length is how far a count goes. Its first and its last row count only where there are few,
// for these two lines may be cut or joined.
func (c *column) length() float64 {
	const few = 20
	if c.n <= few {
		return c.maximum - c.minimum
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, x := range c.x[1 : len(c.x)-1] {
		if known(x) {
			least, most = min(least, x), max(most, x)
		}
	}
	return most - least
}

const shortestSpan = 3 // s

// keepsStep tells whether a count in that unit ran as long as the lines took to
// come. A log that is played to us faster than it was made keeps step with nothing,
// and what came in a few seconds proves too little.
func keepsStep(c *column, u *unit, span float64) float64 {
	const share, late = 0.1, 2.0 // of the span; s by which a line may have waited
	if ran := u.si(c.maximum - c.minimum); span < shortestSpan || math.Abs(ran-span) > min(share*span+late, span/2) {
		return 0
	}
	return 2
}

// keepsStep tells the same of the unit that suits best.
func (c *column) keepsStep(span float64) (best float64) {
	for i := range units[:6] {
		best = max(best, keepsStep(c, &units[i], span))
	}
	return best
}

// beatNear is the round number of seconds that is within 2 % of a beat, 0 for none.
func beatNear(beat float64) float64 {
	for _, round := range []float64{0.1, 0.2, 0.25, 0.5, 1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 30, 60, 120, 180, 300, 600} {
		if math.Abs(beat-round) < 0.02*round {
			return round
		}
	}
	return 0
}

// beyond is how far x is outside of a range, as a natural logarithm.
func beyond(x, low, high float64) float64 {
	switch {
	case x <= 0:
		return 10
	case x < low:
		return math.Log(low / x)
	case x > high:
		return math.Log(x / high)
	}
	return 0
}

// outOfStep tells a count that goes in no unit as fast as the lines come, though they come no faster
// than meters speak, and that has no regular beat: it counts something else, charge for instance.
// A log that is played faster than it happened has a beat.
func (c *column) outOfStep(span float64) bool {
	const few, speaks = 20, 0.2 // rows; s
	regular := c.rising > 0.9 && c.stepLow > 0.98*c.stepMid && c.stepHigh < 1.02*c.stepMid
	return c.n > few && span > speaks*float64(c.n) && !regular && c.keepsStep(span) == 0
}
