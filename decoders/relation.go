package decoders

import (
	"fmt"
	"math"
	"slices"
)

// relation is how two series move together.
type relation struct {
	slope   float64 // dV/dI over the large steps of current; 0 if there is none
	steps   int     // how many large steps there were
	chance  float64 // how likely they are without a current
	agree   float64 // share of them in which voltage went the way of the current
	leap    float64 // how much larger the voltage's steps are there than elsewhere
	follows float64 // how far voltage went the way of the current between steps, in shares of its spread while that flowed
	flowing float64 // sign of the current in that time
}

// relate looks at the steps of current, and at where the voltage goes between. A current
// that sets in softly makes no step from row to row, but one from every few rows to the next.
func relate(v, i *column) relation {
	big := largeStep(i)
	r := relateEvery(1, v, i, big)
	if r.steps > 0 || math.IsInf(big, 1) {
		return r
	}
	for every := 4; every <= softRows; every *= 4 {
		if soft := relateEvery(every, v, i, big); soft.leap > r.leap {
			r.slope, r.steps, r.chance, r.agree, r.leap = soft.slope, soft.steps, soft.chance, soft.agree, soft.leap
		}
	}
	return r
}

// softRows is over how many rows a current may set in (our own figure).
const softRows = 64

// relateEvery looks at each so manieth row. Where it leaves rows out, only a current that
// begins or ends makes a step: one that tapers goes as far in as many rows.
func relateEvery(every int, v, i *column, big float64) relation {
	none := 0.1 * i.size()
	rows := (len(v.x) + every - 1) / every
	m := moves{small: 0.3 * i.size(), quietly: make([]float64, 0, rows), flowing: make([]float64, 0, rows)}
	if i.idles() {
		m.small = math.Inf(1)
	}
	lastV, lastI := math.NaN(), math.NaN()
	var held ahead
	for row := 0; row < len(v.x); row += every {
		x, y := i.x[row], v.x[row]
		if x != x || y != y {
			continue
		}
		dv, di := y-lastV, x-lastI
		soft := every > 1 && math.Min(math.Abs(x), math.Abs(lastI)) > none
		switch {
		case dv != dv:
		case math.Abs(di) >= big && !soft:
			if late := v.after(row) - lastV; math.Abs(late) > math.Abs(dv) {
				dv = late // meters that take turns: the voltage follows a row later
			}
			dv = held.step(dv, m.usual()) // or it goes ahead: a current that is averaged lags behind
			m.between(held.all()...)
			m.step(dv, di, math.Abs(x) > math.Abs(lastI))
			held.n = 0
		default:
			m.between(held.push(quietRow{v: y, dv: dv, i: x})...)
		}
		lastV, lastI = y, x
	}
	m.between(held.all()...)
	return m.relation(v)
}

// largeStep is how far a current must go from row to row for a step.
func largeStep(i *column) float64 {
	big := 0.25 * (i.high - i.low)
	if whole := 0.25 * (i.maximum - i.minimum); big < 4*math.Max(i.step, i.quantum) {
		big = whole
	}
	if big <= 3*i.step || i.isNought() || i.maximum-i.minimum <= 3*i.quantum && !i.setsIn() && !i.changesOnce() {
		big = math.Inf(1)
	}
	return max(big, leastStep*i.size())
}

// changesOnce tells a current that stands, and then stands at another value, a tenth of it away at the
// least: its only step says nothing of the meter's digits.
func (c *column) changesOnce() bool {
	const few, least = 3, 0.1
	if c.levels != 2 || c.maximum-c.minimum < least*c.size() {
		return false
	}
	turns, stay, last := 0, 0, math.NaN()
	for _, x := range c.x {
		switch {
		case !known(x):
		case x == last || stay == 0:
			stay, last = stay+1, x
		case stay < few || turns == 1:
			return false
		default:
			turns, stay, last = turns+1, 1, x
		}
	}
	return stay >= few
}

// leastStep is the least share of the current that a step which tells something must have: a
// charger that holds its current well shows no more than the meter's noise.
const leastStep = 0.01

// relation is what the moves tell; v is the voltage.
func (m *moves) relation(v *column) relation {
	s := m.steps()
	r := relation{steps: s.n, flowing: sign(m.sum)}
	if s.ii > 0 {
		r.slope = s.vi / s.ii
		r.agree = float64(s.with) / float64(s.n)
		r.chance = m.chance(s)
	}
	if s.n > 0 && m.quiet > 0 {
		usual := math.Max(m.elsewhere/float64(m.quiet), 1e-4*math.Abs(v.median))
		if v.levels > 1 {
			usual = math.Max(usual, v.quantum/2) // a step of one digit is none
		}
		r.leap = s.far / float64(s.n) / usual
	}
	slices.Sort(m.flowing)
	spread := math.Max(quantile(m.flowing, 0.98)-quantile(m.flowing, 0.02), leastRange*v.spread())
	usual := m.usual()
	usual = math.Max(usual, math.Sqrt(usual*v.quantum)) // a digit that flickers seldom goes far when it does
	if spread > 0 && math.Abs(m.up) > beyondNoise(usual, m.turns) {
		r.follows = m.up / spread
	}
	return r
}

// idles tells a current of no more than a meter's zero may be off by: three digits, or 15 mA. A battery
// that was used minutes ago rises by itself while such a meter shows its own zero (common practice, no source).
func (c *column) idles() bool {
	const amps = 0.015
	return c.inUnits(Amps, c.size()) <= amps || c.isNought()
}

// byChance is how likely steps may be without a current that tell something of its sign (our own figure).
const byChance = 0.002

// leastRange is the share of the whole voltage's spread by which the voltage must have
// room while current flows: where it is held, what is left of a trend is noise.
const leastRange = 0.1

// beyondNoise is how far noise alone hardly ever takes the voltage while current
// seems to flow. Along each stretch of one direction only its ends count, and they
// differ by about one usual step; the stretches add up as a random walk does. A
// battery on which nothing flows yet would else tell the sign of its meter's zero.
func beyondNoise(usual float64, stretches int) float64 {
	return 5 * usual * math.Sqrt(float64(stretches))
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
	if r.leap > 2 && r.chance < byChance {
		// Steps that disagree tell no more than those which outnumber the others: at a lead
		// that comes loose the voltage leaps up as the current goes.
		w := math.Min(3, 1+0.5*float64(r.steps)*math.Abs(2*r.agree-1))
		score += w * math.Max(-1, math.Min(1, 4*(r.agree-0.5)))
		// Where most steps go one way and their sum the other, noise outvotes them: as in
		// a current that fades quickly while the voltage is held.
		if r.slope < 0 != (score < 0) {
			score = 0
		} else {
			why = fmt.Sprintf("voltage steps %s when the current goes up (steps seen: %d)", upDown(score > 0), r.steps)
		}
	}
	trend := math.Max(-1, math.Min(1, r.follows))
	if f := math.Abs(r.follows); f > wholeRange && f < manyRanges && score*trend < 0 && r.slope*r.flowing < 0 {
		score, why = 0, ""
	}
	if math.Abs(trend) > 0.3 {
		score += 2 * trend
		if why == "" {
			why = fmt.Sprintf("voltage goes %s while %s current flows", upDown(trend*r.flowing > 0), signName(r.flowing))
		}
	}
	return score < 0, math.Abs(score), why
}

// A voltage that went through most of its range between the steps, once or a few times, the way
// of the current, was moved by it. That is more than steps tell against it: at a lead that works loose the
// voltage leaps up each time the current goes, however often. One that went to and fro many
// times is no battery's.
const (
	wholeRange = 0.8
	manyRanges = 5
)

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
	r := relate(onBattery(v, i))
	if r.leap > 3 {
		score = math.Min(4, 1.5*math.Log10(r.leap)) * math.Abs(2*r.agree-1)
	}
	if score > 1 {
		why = fmt.Sprintf("moves %.3g times as far as usual where the current steps", r.leap)
	}
	if math.Abs(r.follows) > 0.3 {
		score += 0.5
	}
	if _, _, resistor := proportional(v.x, func(row int) float64 { return i.x[row] }); resistor && !keepsVoltage(v, i) {
		score = math.Min(score, 0) - 3 // no battery, but the same quantity twice
	}
	if keepsVoltage(i, v) {
		score = math.Min(score, 0) - 3 // what flows on at no voltage is no current: it is the voltage
	}
	return score, why
}

// keepsVoltage tells whether the voltage stays in rows without current, few as they may be
// beside a current that is the same all night: a battery's does, a resistor's is gone.
func keepsVoltage(v, i *column) bool {
	const most, least, rows = 0.05, 0.5, 3 // of what they usually are
	n := 0
	for row, x := range i.x {
		if math.Abs(x) < most*i.size() && math.Abs(v.x[row]) > least*v.size() {
			n++
		}
	}
	return n >= rows
}
