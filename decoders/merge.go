package decoders

import (
	"math"

	"amphora/analyze"
)

// Merge makes one source of two meters on one battery, one for the voltage and
// one for the current. Each has its own beat, and neither clock is that of the
// other, so their readings are put in order by when they arrived. Samples are
// given out at the moments of the slower meter; the faster one is interpolated
// between its last reading before that moment and its first one after it.
//
// It is not across a gap: both readings must be within the limit of the moment. A
// meter too slow for that gives the nearer one as it is, if that is within the limit.
// How far the nearer of them is off is the sample's Skew.
type Merge struct {
	limit   float64
	volts   half
	amps    half
	byVolts bool // the meter for the voltage is the slower one
	waiting []analyze.Sample
	ofVolts bool // those that wait are of the meter for the voltage
	out     []Merged
}

// Merged is a sample of two meters, or a row of one of them that found no partner.
type Merged struct {
	Sample analyze.Sample
	Err    error // ErrAlone, or nil
}

// ErrAlone refuses a reading beside which the other meter has none.
var ErrAlone = &Refusal{"no reading of the other meter within the limit", true}

// half is one of the two meters.
type half struct {
	last  analyze.Sample
	known bool    // last is there, and the line has not been lost since
	usual float64 // s between readings, smoothed; 0 is not known
}

const (
	// smooth is how much of the usual interval a new one makes.
	smooth = 1.0 / 8
	// slower is how much longer the interval must be for a meter to count as the
	// slower one. Where both are alike the current keeps its own moments, since
	// it is what is integrated.
	slower = 1.25
	// waitingMost bounds what waits for the other meter.
	waitingMost = 64
)

// NewMerge makes one; limit is the greatest skew, s.
func NewMerge(limit float64) *Merge { return &Merge{limit: limit} }

// Volts takes the next reading of the voltage, Amps of the current; s.At is when
// it arrived, in s on the clock of both. What comes back is valid until the next
// call.
func (m *Merge) Volts(s analyze.Sample) []Merged { return m.take(s, &m.volts, true) }

// Amps is Volts for the current.
func (m *Merge) Amps(s analyze.Sample) []Merged { return m.take(s, &m.amps, false) }

// Lost says that a meter was lost, or that its line was opened anew: there is no
// interpolation across that.
func (m *Merge) Lost(volts bool) []Merged {
	m.out = m.out[:0]
	if volts {
		m.volts.known = false
	} else {
		m.amps.known = false
	}
	if volts != m.ofVolts {
		m.giveUp(len(m.waiting))
	}
	return m.out
}

func (m *Merge) take(s analyze.Sample, mine *half, volts bool) []Merged {
	m.out = m.out[:0]
	if volts != m.ofVolts {
		m.resolve(&s, mine)
	}
	mine.push(s)
	m.choose()
	if volts != m.byVolts {
		return m.out
	}
	m.ofVolts = volts // where the roles have changed, none waits any more
	late := 0
	for late < len(m.waiting) && s.At-m.waiting[late].At > m.limit {
		late++
	}
	if len(m.waiting) == waitingMost {
		late = max(late, 1)
	}
	m.giveUp(late)
	m.waiting = append(m.waiting, s)
	return m.out
}

// push takes a reading and learns the beat.
func (h *half) push(s analyze.Sample) {
	if gap := s.At - h.last.At; h.known && gap > 0 {
		if h.usual == 0 {
			h.usual = gap
		}
		h.usual += smooth * (min(gap, 10*h.usual) - h.usual)
	}
	h.last, h.known = s, true
}

// choose says which meter is the slower one.
func (m *Merge) choose() {
	v, a := m.volts.usual, m.amps.usual
	switch {
	case v == 0 || a == 0:
	case v > slower*a:
		m.byVolts = true
	case a >= v:
		m.byVolts = false
	}
}

// resolve completes the readings that waited for s of the other meter.
func (m *Merge) resolve(s *analyze.Sample, of *half) {
	for _, w := range m.waiting {
		before, after := w.At-of.last.At, s.At-w.At
		near, share := s, 0.0
		if before < after {
			near = &of.last
		}
		switch far := math.Max(before, after); {
		case !of.known || math.Min(before, after) > m.limit, far > m.limit && !m.isSlow(of):
			m.out = append(m.out, Merged{w, ErrAlone})
			continue
		case far > m.limit && near == s:
			share = 1
		case far > m.limit: // the one before, as it is
		case before+after > 0:
			share = before / (before + after)
		}
		if m.ofVolts {
			w.Amps = between(of.last.Amps, s.Amps, share)
		} else {
			w.Volts = between(of.last.Volts, s.Volts, share)
		}
		w.Celsius, w.Counter = either(w.Celsius, near.Celsius), either(w.Counter, near.Counter)
		w.Skew = math.Min(before, after)
		m.out = append(m.out, Merged{w, nil})
	}
	m.waiting = m.waiting[:0]
}

// isSlow says whether a meter's readings are so far apart that there need not be two of
// them within the limit of any moment.
func (m *Merge) isSlow(h *half) bool { return 2*h.usual > m.limit }

// giveUp refuses the oldest of those that wait.
func (m *Merge) giveUp(n int) {
	for _, w := range m.waiting[:n] {
		m.out = append(m.out, Merged{w, ErrAlone})
	}
	m.waiting = append(m.waiting[:0], m.waiting[n:]...)
}

func between(a, b, share float64) float64 { return a + (b-a)*share }

func either(a, b float64) float64 {
	if known(a) {
		return a
	}
	return b
}
