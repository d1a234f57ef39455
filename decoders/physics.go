package decoders

import (
	"fmt"
	"math"
)

// guess is one answer to "which columns are voltage and current?".
type guess struct {
	volts, amps int // columns, -1 for none
	watts       int // stands in for the current where there is none
	score       float64
	why         []string
}

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
	level := math.Abs(c.median)
	if c.said.unit == nil && level > 1000 {
		level /= 1e3 // mV
	}
	switch {
	case level < 0.5 || level > 1000:
		s -= 3
	case level >= 2.3 && level <= 65:
		s++
	}
	if c.negative > 0.05 && c.negative < 0.95 {
		s -= 3
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
	if c.rising > 0.9 && c.n > 20 && c.said.of != Volts && c.spread() > 0.5*c.size() {
		s -= 2 // rises at every row, from little to much: a counter
	}
	return s
}

// asAmps tells how much a column behaves like a current: it is zero at times,
// or changes its size by far more than its noise.
func asAmps(c *column) float64 {
	s := nameScore(c, Amps)
	size := c.size()
	if c.said.unit == nil && size > 200 {
		size /= 1e3 // mA
	}
	s -= math.Min(3, beyond(size, 0.02, 200))
	ratio := c.spread() / math.Max(size, 1e-9)
	switch {
	case ratio > 0.7:
		s += 1.5
	case ratio > 0.3:
		s += 0.5
	}
	if c.negative > 0 && c.negative < 1 {
		s++
	}
	if math.Abs(c.minimum) < 0.02*size || math.Abs(c.maximum) < 0.02*size {
		s += 0.5
	}
	if c.rising > 0.9 && c.n > 20 && c.said.of != Amps {
		s -= 3
	}
	if c.levels <= 1 && c.maximum == 0 {
		s -= 2
	}
	return s
}

// relation is how two series move together.
type relation struct {
	slope   float64 // dV/dI over the large steps of current; 0 if there is none
	steps   int     // how many large steps there were
	agree   float64 // share of them in which voltage went the way of the current
	leap    float64 // how much larger the voltage's steps are there than elsewhere
	follows float64 // how far voltage went the way of the current between steps, in shares of its spread
	flowing float64 // sign of the current in that time
}

// relate looks at the steps of current, and at where the voltage goes between.
func relate(v, i *column) relation {
	var r relation
	big := 0.25 * (i.high - i.low)
	if whole := 0.25 * (i.maximum - i.minimum); big < 4*i.step || big == 0 {
		big = whole
	}
	if big <= 3*i.step || big == 0 {
		big = math.Inf(1)
	}
	var vi, ii, atSteps, elsewhere, sum, up float64
	quiet := 0
	lastV, lastI := math.NaN(), math.NaN()
	for row := range v.x {
		x, y := i.x[row], v.x[row]
		if x != x || y != y {
			continue
		}
		dv, di := y-lastV, x-lastI
		if dv == dv && math.Abs(di) >= big {
			if late := v.after(row) - lastV; math.Abs(late) > math.Abs(dv) {
				dv = late // meters that take turns: the voltage follows a row later
			}
			r.steps++
			vi, ii = vi+dv*di, ii+di*di
			atSteps += math.Abs(dv)
			if dv*di > 0 {
				r.agree++
			}
		} else if dv == dv {
			elsewhere += math.Abs(dv)
			quiet++
			if math.Abs(x) > 0.3*i.size() {
				sum += x
				up += dv * sign(x)
			}
		}
		lastV, lastI = y, x
	}
	if ii > 0 {
		r.slope = vi / ii
		r.agree /= float64(r.steps)
	}
	if r.steps > 0 && quiet > 0 {
		r.leap = atSteps / float64(r.steps) / math.Max(elsewhere/float64(quiet), 1e-4*math.Abs(v.median))
	}
	if v.spread() > 0 {
		r.follows = up / v.spread()
	}
	r.flowing = sign(sum)
	return r
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// inverted tells whether the current counts out of the battery as positive.
// Charging lifts the voltage: at a step at once, between steps slowly.
// strength is how sure that is, 0 for not at all.
func (r relation) inverted() (yes bool, strength float64, why string) {
	score := 0.0
	if r.steps > 0 && r.leap > 2 {
		w := math.Min(3, 1+0.5*float64(r.steps))
		score += w * math.Max(-1, math.Min(1, 4*(r.agree-0.5)))
		if r.slope < 0 != (score < 0) {
			score /= 2
		}
		why = fmt.Sprintf("voltage steps %s when the current goes up (%d steps)", upDown(score > 0), r.steps)
	}
	if trend := math.Max(-1, math.Min(1, r.follows)); math.Abs(trend) > 0.3 {
		score += 2 * trend
		if why == "" {
			why = fmt.Sprintf("voltage goes %s while %s current flows", upDown(trend*r.flowing > 0), signName(r.flowing))
		}
	}
	return score < 0, math.Abs(score), why
}

func upDown(up bool) string {
	if up {
		return "up"
	}
	return "down"
}

func signName(s float64) string {
	if s < 0 {
		return "negative"
	}
	return "positive"
}

// together scores voltage and current as a pair.
func together(v, i *column) (score float64, why string) {
	r := relate(v, i)
	if r.steps > 0 && r.leap > 3 {
		score = math.Min(4, 1.5*math.Log10(r.leap)) * math.Abs(2*r.agree-1)
	}
	if score > 1 {
		why = fmt.Sprintf("%.3g times its usual step where the other steps", r.leap)
	}
	if math.Abs(r.follows) > 0.3 {
		score += 0.5
	}
	return score, why
}

// product finds a column that is the product of two others.
func product(t *table, a, b int) (col int, factor float64) {
	for k, c := range t.cols {
		if k == a || k == b || c.what != isNumber || c.said.of != none && c.said.of != Watts {
			continue
		}
		if f, ok := proportional(c.x, func(row int) float64 { return t.cols[a].x[row] * t.cols[b].x[row] }); ok {
			return k, f
		}
	}
	return -1, 0
}

// proportional tells whether y is a constant times x: to 3 % of y's size on
// nine rows of ten, some of them well away from zero.
func proportional(y []float64, x func(int) float64) (factor float64, ok bool) {
	var xy, xx, size float64
	n := 0
	for row, v := range y {
		if u := x(row); v == v && u == u {
			xy, xx = xy+u*v, xx+u*u
			size = math.Max(size, math.Abs(v))
			n++
		}
	}
	if n < 5 || xx == 0 || size == 0 {
		return 0, false
	}
	factor = xy / xx
	good := 0
	low, high := math.Inf(1), math.Inf(-1)
	for row, v := range y {
		if u := x(row) * factor; v == v && u == u {
			if math.Abs(u-v) < 0.03*size {
				good++
			}
			low, high = math.Min(low, u), math.Max(high, u)
		}
	}
	return factor, good*10 >= n*9 && high-low > 0.2*size && factor != 0
}

// guessPair weighs every pair of columns.
func guessPair(t *table, taken []int) (best, second guess) {
	best = guess{volts: -1, amps: -1, watts: -1, score: math.Inf(-1)}
	second = best
	var free []int
	for i, c := range t.cols {
		if c.what == isNumber && c.n > 0 && !contains(taken, i) {
			free = append(free, i)
		}
	}
	consider := func(g guess) {
		if g.score > best.score {
			best, second = g, best
		} else if g.score > second.score {
			second = g
		}
	}
	for _, v := range free {
		asV := asVolts(t.cols[v])
		for _, i := range free {
			if i == v {
				continue
			}
			s, why := together(t.cols[v], t.cols[i])
			g := guess{volts: v, amps: i, watts: -1, score: asV + asAmps(t.cols[i]) + s}
			if why != "" {
				g.why = append(g.why, fmt.Sprintf("%s makes %s", t.label(v), why))
			}
			if w, _ := product(t, v, i); w >= 0 {
				g.score += 3
				g.why = append(g.why, fmt.Sprintf("%s is the product of %s and %s", t.label(w), t.label(v), t.label(i)))
			}
			if t.wholeOf(v) {
				g.score += 0.8
			}
			consider(g)
		}
	}
	return best, second
}

// wholeOf tells whether a column is a multiple of another one that could be a
// voltage too: the battery's beside its cells'.
func (t *table) wholeOf(v int) bool {
	c := t.cols[v]
	for k, part := range t.cols {
		if k == v || part.what != isNumber || part.said.of != none && part.said.of != Volts || part.n == 0 || math.Abs(c.median) < 1.5*math.Abs(part.median) {
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

// multiple tells whether c goes with part in all its movement: what a constant
// times part leaves over is small beside the movement itself.
func multiple(c, part *column) bool {
	factor := c.median / part.median
	left, moved, n := 0.0, 0.0, 0
	for row, x := range c.x {
		if d, m := x-factor*part.x[row], x-c.median; d == d {
			left, moved, n = left+d*d, moved+m*m, n+1
		}
	}
	return n > 5 && left < 0.04*moved
}

func contains(list []int, x int) bool {
	for _, y := range list {
		if y == x {
			return true
		}
	}
	return false
}
