package analyze

import "math"

// row is a usable sample with elapsed time instead of the source's.
type row struct {
	t       float64 // s since the log's first row, never falling
	v, i    float64
	celsius float64
	skew    float64 // s by which i may be from another moment than t
}

func (r *row) set(o *row) {
	r.t, r.v, r.i, r.celsius, r.skew = o.t, o.v, o.i, o.celsius, o.skew
}

// timeline turns the source's own clock, which may stand still, run backwards
// or leap, into elapsed time that only grows. A step of the clock counts as
// one usual interval: that much time passed, whatever the clock says.
type timeline struct {
	started bool
	instant

	// A row whose time leapt ahead may be a stray of the future: what a line lost on
	// its way makes two times one. The instant before is kept until the next row tells.
	leapt    bool    // the last row used did
	before   instant // where it left from
	leapLine int     // its line
	far      bool    // it leapt so far that the clock may have been set; see leap.go

	// A row whose time ran backwards waits here until the next one tells
	// whether it was a stray or the clock was set back.
	back   bool
	backAt float64
	debt   float64 // how far the clock was last set back, s
}

// instant is where a timeline stands.
type instant struct {
	at     float64 // source time of the last row used
	t      float64 // its elapsed time
	v, i   float64 // its reading, to know a repeated row
	recent [5]float64
	n      int     // of them that are filled
	oldest int     // of them, the next to be overwritten
	pace   float64 // the last of them
}

// verdict is what timeline thinks of one sample.
type verdict struct {
	t      float64
	reason string // why the row is not used, or ""
	step   bool   // the clock stepped here
	stray  bool   // the row before was a stray of the future
}

// tick takes a sample that follows as samples do: later than the one before, with
// no step of the clock in question. Any other it leaves alone, for push.
func (l *timeline) tick(s *Sample) bool {
	d := s.At - l.at
	if !(d > 0) || d > leapSeconds || !l.steady() {
		return false
	}
	l.goOn(s, d)
	return true
}

// steady reports whether no step of the clock is in question.
func (l *timeline) steady() bool { return l.started && !l.back && !l.far && !(l.debt > 0) }

// follow takes samples that follow as samples do, none of which leaps ahead. t is the
// elapsed time of the last one.
func (l *timeline) follow(samples []Sample, t float64) {
	at := l.at
	if unknown := len(samples) - len(l.recent); unknown > 0 {
		at = samples[unknown-1].At
		samples = samples[unknown:]
	}
	for k := range samples {
		l.remember(samples[k].At - at)
		at = samples[k].At
	}
	last := &samples[len(samples)-1]
	l.leapt, l.t = false, t
	l.at, l.v, l.i = last.At, last.Volts, last.Amps
}

func (l *timeline) push(s *Sample) verdict {
	if !l.started {
		l.started, l.at, l.v, l.i = true, s.At, s.Volts, s.Amps
		return verdict{}
	}
	d := s.At - l.at
	if l.back {
		return l.afterBackwards(s, d)
	}
	switch {
	case d < 0 && l.wasStray(s):
		l.instant, l.leapt = l.before, false
		l.goOn(s, s.At-l.at)
		return verdict{t: l.t, stray: true}
	case d < 0:
		l.back, l.backAt = true, s.At
		return verdict{t: l.t, reason: reasonBackwards, step: true}
	case d == 0 && s.Volts == l.v && s.Amps == l.i:
		return verdict{t: l.t, reason: reasonDuplicate}
	case d == 0:
		return verdict{t: l.t, reason: reasonStill}
	}
	if l.debt > 0 && l.repays(d) {
		l.debt, l.leapt = 0, false
		l.advance(s, l.usual())
		return verdict{t: l.t, step: true}
	}
	l.goOn(s, d)
	return verdict{t: l.t}
}

// goOn takes a sample that came an interval d after the one before, s.
func (l *timeline) goOn(s *Sample, d float64) {
	l.leapt, l.far = false, d > leapSeconds
	leap := d > ahead*l.pace
	if leap {
		l.mayBeStray(s, d)
	}
	l.remember(d)
	if leap {
		l.pace = l.usual() // a gap is none
	}
	l.advance(s, d)
}

// remember takes the latest interval, s.
func (l *instant) remember(d float64) {
	l.pace = d
	l.recent[l.oldest] = d
	if l.oldest++; l.oldest == len(l.recent) {
		l.oldest = 0
	}
	l.n = min(l.n+1, len(l.recent))
}

// ahead is how many usual intervals a row must leap to be a stray; the one after it
// must lie where no gap would be seen.
const ahead = 1.5

// mayBeStray keeps where a row left from that leaps ahead.
func (l *timeline) mayBeStray(s *Sample, d float64) {
	if l.leapt = d > ahead*l.usual(); l.leapt {
		l.before, l.leapLine = l.instant, s.Line
	}
}

// wasStray reports whether time goes on, at its usual pace or with a gap much shorter than the
// leap, where it had been before the last row leapt ahead. A clock that is set back goes on from
// somewhere else.
func (l *timeline) wasStray(s *Sample) bool {
	const shorter = 1.5 // times
	d := s.At - l.before.at
	return l.leapt && d > 0 && (d <= gapIntervals*l.before.usual() || shorter*d < l.at-l.before.at)
}

// afterBackwards decides about a sample that follows a row of the past. If time
// goes on where it had been, that row was a stray. If it goes on from the
// stray, the clock was set back there.
func (l *timeline) afterBackwards(s *Sample, d float64) verdict {
	l.back = false
	if d > 0 {
		return l.push(s)
	}
	fromBack := s.At - l.backAt
	if fromBack <= 0 {
		l.back, l.backAt = true, s.At
		return verdict{t: l.t, reason: reasonBackwards, step: true}
	}
	l.debt, l.leapt = l.at-l.backAt+l.usual(), false
	l.t += l.usual()
	l.advance(s, fromBack)
	return verdict{t: l.t}
}

// repays reports whether a leap forward, long enough to be a gap otherwise, just
// undoes the last step back.
func (l *timeline) repays(d float64) bool {
	usual := l.usual()
	return d > gapSeconds && d > gapIntervals*usual && math.Abs(d-usual-l.debt) <= 2*usual+0.01*l.debt
}

func (l *timeline) advance(s *Sample, d float64) {
	l.t += d
	l.at, l.v, l.i = s.At, s.Volts, s.Amps
}

// when is the elapsed time of a sample that is not used, s; that of the last one that
// was where its own clock does not tell.
func (l *timeline) when(s *Sample) float64 {
	if d := s.At - l.at; l.started && d > 0 && Known(d) {
		return l.t + d
	}
	return l.t
}

// Usual is how long it usually takes from one reading to the next, s: the lower median of the last five times. It is 0
// as long as nothing is known of it.
func (m *Machine) Usual() float64 { return m.timeline.usual() }

// usual is the lower median of the last intervals, s.
func (l *instant) usual() float64 {
	return lowerMedian(l.recent[:l.n])
}

// lowerMedian of at most five values; 0 of none.
func lowerMedian(x []float64) float64 {
	var s [5]float64
	n := copy(s[:], x)
	for i := 1; i < n; i++ {
		for j := i; j > 0 && s[j] < s[j-1]; j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
	if n == 0 {
		return 0
	}
	return s[(n-1)/2]
}
