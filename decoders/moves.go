package decoders

import "math"

// moves is what was seen of two series.
type moves struct {
	small float64 // as much current is none

	grown, shrunk steps // large steps of the current: those to more of it, and those to less

	quiet     int       // rows between them
	elsewhere float64   // how far the voltage went there, in sum
	quietly   []float64 // and in each
	sum, up   float64   // of the current that flowed; how far the voltage went its way
	way       float64   // of the current, where it last flowed
	turns     int       // stretches of one way
	flowing   []float64 // the voltage then; one without current may be no battery's
	leapt     float64   // how far it leapt meanwhile, in sum, which no current makes it do
}

// steps are large steps of the current, and what the voltage did in them.
type steps struct {
	n, with int     // how many, and those in which the voltage went the same way
	vi, ii  float64 // sums of dV dI and of dI dI
	far, up float64 // how far the voltage went, in sum, and how far the way of the current
}

func (s *steps) add(dv, di float64) {
	s.n++
	s.vi, s.ii = s.vi+dv*di, s.ii+di*di
	s.far, s.up = s.far+math.Abs(dv), s.up+dv*sign(di)
	if dv*di > 0 {
		s.with++
	}
}

// step takes a large step of the current.
func (m *moves) step(dv, di float64, grows bool) {
	if grows {
		m.grown.add(dv, di)
	} else {
		m.shrunk.add(dv, di)
	}
	m.way = 0 // what comes after a step, or after rows without current, is another stretch
}

// unlike is how many times farther the voltage must have gone against the current as it went than as
// it came, for another cause (our own figure).
const unlike = 5

// steps are those that tell something. What a battery answers to a current that goes it has answered, the
// other way, when that came. Where the voltage leaps up only as the current goes, it is the charger's own, and
// a lead is off.
func (m *moves) steps() steps {
	a, b := m.grown, m.shrunk
	if leadsOff(a.up, a.n, b.up, b.n) {
		return a
	}
	return steps{n: a.n + b.n, with: a.with + b.with, vi: a.vi + b.vi, ii: a.ii + b.ii, far: a.far + b.far}
}

// leadsOff tells from how far the voltage went the way of the current, in sum, where it came and where it
// went, that it leapt up only as the current went.
func leadsOff(came float64, n int, went float64, k int) bool {
	return n > 0 && k > 0 && went < 0 && came/float64(n) > went/float64(k)/unlike
}

// between takes rows without one.
func (m *moves) between(rows ...quietRow) {
	for _, q := range rows {
		m.elsewhere += math.Abs(q.dv)
		m.quietly = append(m.quietly, math.Abs(q.dv))
		m.quiet++
		if math.Abs(q.i) <= m.small {
			m.way = 0
			continue
		}
		m.sum += q.i
		if m.way == sign(q.i) && math.Abs(q.dv) > oneCell*math.Abs(q.v-q.dv) {
			m.leapt += q.dv
			q.dv = 0
		}
		m.up += q.dv * sign(q.i)
		m.flowing = append(m.flowing, q.v-m.leapt)
		if m.way != sign(q.i) {
			m.way = sign(q.i)
			m.turns++
		}
	}
}

// oneCell is the least share of a voltage that is one cell's, as no pack has more than 24 in series (common practice,
// no source). From one row to the next, with the same current, no charge or discharge takes it so far: a cell shorts.
const oneCell = 1.0 / 25

// usual is how far the voltage goes from row to row between the steps.
func (m *moves) usual() float64 { return m.elsewhere / math.Max(1, float64(m.quiet)) }

// chance is how likely so many steps are to go as far as s in the mean by what the voltage does anyway: a digit of a coarse
// meter that flickers every few rows tells nothing of a step. Of few rows the scatter tells more than how many went
// so far. Steps that disagree take from the others.
func (m *moves) chance(s steps) float64 {
	most, as, squares := s.far/float64(s.n)*(1-1e-6), 0.0, 0.0
	for _, d := range m.quietly {
		squares += d * d
		if d >= most {
			as++
		}
	}
	n := math.Max(1, float64(m.quiet))
	p := math.Max(as/n, math.Erfc(most/math.Sqrt(2*squares/n)))
	return math.Pow(p, math.Abs(2*float64(s.with)-float64(s.n)))
}

// quietRow is a row in which the current makes no step: the voltage, how far it went since the row
// before, and the current.
type quietRow struct{ v, dv, i float64 }

// ahead are the last rows, until it is seen whether a step of the current follows to which their
// voltage belongs.
type ahead struct {
	rows [4]quietRow // so far a current lags behind (our own figure)
	n    int
}

func (a *ahead) all() []quietRow { return a.rows[:a.n] }

// push takes a row, and gives back the one that no step can concern any more.
func (a *ahead) push(q quietRow) []quietRow {
	if a.n < len(a.rows) {
		a.rows[a.n] = q
		a.n++
		return nil
	}
	oldest := a.rows[0]
	copy(a.rows[:], a.rows[1:])
	a.rows[a.n-1] = q
	return []quietRow{oldest}
}

// step is how far the voltage went at a step of the current at whose row it went dv. Where it went much
// farther in one of the rows before, and than it usually goes, that was it, and what lies between belongs to
// nothing.
func (a *ahead) step(dv, usual float64) float64 {
	least, at := earlier*math.Max(math.Abs(dv), usual), a.n
	for k, q := range a.all() {
		if math.Abs(q.dv) > least {
			least, dv, at = math.Abs(q.dv), q.dv, k
		}
	}
	a.n = at
	return dv
}

// earlier is how many times farther the voltage must have gone in a row before a step than in that of
// the step, for having gone ahead of it (our own figure).
const earlier = 3
