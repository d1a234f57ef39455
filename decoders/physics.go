package decoders

import (
	"fmt"
	"math"
	"slices"
)

// guess is one answer to "which columns are voltage and current?".
type guess struct {
	volts, amps int // columns, -1 for none
	watts       int // stands in for the current where there is none
	score       float64
	alone       float64 // what it lost beside others for a current that nothing answers
	why         []string
}

// noGuess is the answer as long as nothing is known.
var noGuess = guess{volts: -1, amps: -1, watts: -1, score: math.Inf(-1)}

// Names weigh more than any behaviour, but not more than all of it: a column
// that is called voltage and behaves like a row number is none.
const (
	byUnit  = 6.0
	byWord  = 5.0
	against = -8.0
	notOwn  = -3.0
)

// nameScore is what a column's name says for a quantity.
func nameScore(c *column, q Quantity) float64 {
	s := 0.0
	switch {
	case c.said.of == q && c.said.unit != nil:
		s = byUnit
	case c.said.of == q:
		s = byWord
	case c.said.of != none:
		return against
	case c.said.index:
		return -2
	}
	if c.said.aside {
		s += notOwn
	}
	return s
}

// asVolts tells how much a column behaves like a battery's voltage: of one
// sign, within a narrow band, smooth, of a size that batteries have.
func asVolts(c *column) float64 {
	s := nameScore(c, Volts)
	level := c.inUnits(Volts, math.Abs(c.median))
	switch {
	case level < 0.5 || level > 1000:
		s -= 3
	case level > 100 && c.said.of == none:
		s -= 1.5 // few batteries have it, and 1000 may be mA
	case level >= 2.3 && level <= 65:
		s++
	}
	switch {
	case c.negative > 0.05 && c.negative < 0.95:
		s -= 3
	case c.negative > 0 && c.said.of != Volts:
		s -= 1.5 // leads are seldom reversed
	}
	if band := c.spread() / math.Max(math.Abs(c.median), 1e-9); band < 0.6 {
		s++
	} else if band > 2 {
		s -= 2
	}
	if c.step < 0.01*math.Abs(c.median) {
		s += 0.5
	}
	if c.levels <= 1 {
		s -= 1.5 // a setting
	}
	if c.said.of != Volts && c.n > ledUp && (c.rising > 0.9 || c.climbs()) && (c.spread() > 0.5*c.size() || c.hundredths()) {
		s -= 2 // rises without ever falling, from little to much: a counter
	}
	return s
}

// inUnits is a value of the column in volts or amperes, in the unit that it states, else in
// thousandths where its size says so.
func (c *column) inUnits(q Quantity, x float64) float64 {
	if c.unitStated() && c.said.unit.of == q {
		return c.said.unit.si(x)
	}
	return x / math.Pow(1e3, float64(c.part(q, x)))
}

// flicker is by how many digits a meter's nought goes up and down (our own figure).
const flicker = 3

// setsIn tells a column that is nought until it is no longer, or the other way round, once or twice
// and for some rows each: a current that begins and ends, which may be held to the digit between. Its
// smallest step says nothing of the meter; where nought flickers it does.
func (c *column) setsIn() bool {
	const few, most = 3, 2
	turns, stay, nought := 0, 0, false
	for _, x := range c.x {
		switch {
		case !known(x):
		case stay == 0 || (x == 0) == nought:
			nought = x == 0
			stay++
		case stay < few || turns == most:
			return false
		default:
			turns, stay, nought = turns+1, 1, x == 0
		}
	}
	return turns > 0 && stay >= few
}

// asAmps tells how much a column behaves like a current: it is zero at times,
// or changes its size by far more than its noise.
func asAmps(c *column) float64 {
	s := nameScore(c, Amps)
	if c.levels <= 1 {
		switch {
		case c.said.of == Amps: // at rest, or a charger that holds it well
		case c.maximum == 0:
			s += 0.5 // what is exactly zero may well be a current at rest
		case c.maximum < 0:
			s++ // a setting is hardly ever below nought
		default:
			s -= 1.5
		}
		return s
	}
	size := c.size()
	if c.said.of == none && c.flags() {
		return s - 3
	}
	if c.minimum <= 0 && c.maximum >= 0 && size <= flicker*c.quantum && (size == 0 || !c.setsIn()) {
		return s + 0.5 // nought and the last digit: a current at rest as well
	}
	if c.said.of != Amps && c.n > ledUp && !c.wanes() && (c.rising > 0.9 || c.climbs() && !c.arrives()) {
		return s - 3 // a count, which goes from little to much as a current does
	}
	ratio := c.spread() / math.Max(size, 1e-9)
	nought := math.Abs(c.minimum) < 0.02*size || math.Abs(c.maximum) < 0.02*size
	size = c.inUnits(Amps, size)
	s -= math.Min(3, beyond(size, 0.02, 200))
	switch {
	case ratio > 0.7:
		s += 1.5
	case ratio > 0.3:
		s += 0.5
	}
	if c.negative > 0 && c.negative < 1 {
		s++
	}
	if nought {
		s += 0.5
	}
	return s
}

// flags tells a column of noughts and ones: a state, for no current is one ampere to the digit.
func (c *column) flags() bool {
	return c.whole && c.levels == 2 && c.minimum == 0 && c.maximum == 1
}

// ledUp is for how many rows a current that is led up softly may rise as a count does (our own figure).
const ledUp = 20

// guessPair weighs every pair of columns.
func guessPair(t *table, taken []int) (best, second guess) {
	best, second = noGuess, noGuess
	p := pairing{t: t, free: t.free(taken), products: map[[2]int]int{}}
	for _, v := range p.free {
		asV, whole := asVolts(t.cols[v]), t.wholeOf(v)
		for _, i := range p.free {
			if i == v {
				continue
			}
			g := p.weigh(v, i, asV)
			if whole {
				g.score += 0.8
			}
			if g.score > best.score {
				best, second = g, best
			} else if g.score > second.score {
				second = g
			}
		}
	}
	if best.alone > 0 { // on a coarse meter no voltage answers: that chooses between two, and refuses none
		best.score, second.score = best.score+best.alone, second.score+second.alone
	}
	return best, second
}

// free are the columns of numbers that are there often enough, are not taken, and are no number of the row.
func (t *table) free(taken []int) (free []int) {
	most := 0
	for _, c := range t.cols {
		most = max(most, c.n)
	}
	for i, c := range t.cols {
		if c.what == isNumber && c.n*rarely > most && !slices.Contains(taken, i) && !t.isRowNumber(i, taken) {
			free = append(free, i)
		}
	}
	return free
}

// isRowNumber tells a number of the row by its name, or where it stands before a time.
func (t *table) isRowNumber(i int, taken []int) bool {
	c := t.cols[i]
	switch {
	case c.said.of != none:
		return false
	case c.said.index && c.stepLow == 1 && c.stepHigh == 1:
		return true
	}
	return c.numbers() && (len(taken) > 0 && i < slices.Min(taken) || t.numbersBeside(i))
}

// pairing weighs pairs of columns.
type pairing struct {
	t        *table
	free     []int
	products map[[2]int]int // of two columns, the lower one first, as far as they were asked for
}

// weigh scores a column as voltage, which it is like by itself by asV, with one as current.
func (p *pairing) weigh(v, i int, asV float64) guess {
	t := p.t
	if on, _ := onBattery(t.cols[v], t.cols[i]); on != t.cols[v] {
		asV = asVolts(on)
	}
	s, why := together(t.cols[v], t.cols[i])
	g := guess{volts: v, amps: i, watts: -1, score: asV + asAmps(t.cols[i]) + s + channels(t.cols[v].name, t.cols[i].name)}
	if why != "" {
		g.why = append(g.why, fmt.Sprintf("%s %s", t.label(v), why))
	}
	if w := p.productOf(v, i); w >= 0 {
		g.score += 3
		g.why = append(g.why, fmt.Sprintf("%s is the product of %s and %s", t.label(w), t.label(v), t.label(i)))
	}
	if p.isProduct(v, i) || p.isProduct(i, v) {
		g.score -= 3
	}
	if swapped(t.cols[v], t.cols[i]) {
		g.score -= 2
	}
	if t.cols[i].wanes() && p.counted(v, i) {
		g.score -= 3
	}
	switch others := p.others(v, i); {
	case others && t.cols[i].warm():
		g.score -= 2
	case others && unanswered(t.cols[v], t.cols[i]):
		g.alone = 2
		g.score -= g.alone
	}
	if t.cols[v].name == "" && t.cols[v].unitBeside && t.another(t.cols[v], Volts) {
		g.score += notOwn // of what two lines or places have in volts, the one that is named
	}
	return g
}

// channels weighs the numbers of the channels in two names: what belongs together has the
// same one, and the first is as good a guess as any other.
func channels(volts, amps string) float64 {
	v, i := channelOf(volts), channelOf(amps)
	switch {
	case v != i && v > 0 && i > 0:
		return notOwn
	case v > 1 || i > 1:
		return -0.1
	}
	return 0
}

// wholeOf tells whether a column is a multiple of another one that could be a
// voltage too: the battery's beside its cells'.
func (t *table) wholeOf(v int) bool {
	c := t.cols[v]
	for k, part := range t.cols {
		if k == v || part.what != isNumber || part.said.of != none && part.said.of != Volts || math.Abs(c.median) < 1.5*math.Abs(part.median) {
			continue
		}
		if asVolts(part) < 1 || part.levels < 3 {
			continue
		}
		if multiple(c, part) {
			return true
		}
	}
	return false
}
