package analyze

import "math"

// stepRow is a row, as far as a step of current needs it.
type stepRow struct{ t, v, i float64 }

// steps watches for steps of the current. Each shows the battery's resistance:
// the voltage answers at once by the ohmic part of it, and the rest of the
// answer comes slowly (two-step direct current method, DIN EN 61951 and 61960
// by way of reference, section 8). Nothing is kept but the last rows.
type steps struct {
	ring [ringRows]stepRow
	n    int // rows since the current last changed, of which the ring keeps the last
	open openStep
}

const (
	ringRows  = 16 // a power of two
	afterRows = 32

	beforeLeast   = 4
	beforeSeconds = 60 // s; more rows than the least are taken from no longer ago
	afterLeast    = 4
	afterEnough   = 6  // rows, once
	afterSeconds  = 60 // s have passed
	slowestRise   = 4  // intervals that a step may take
	writtenWithin = 1  // s, how soon a row follows what made it be written

	stepShare  = 0.05 // of the current: a smaller change is no step
	stepNoises = 10   // nor is one of so many standard deviations or digits
	unsteady   = 0.05 // of the step: current that changes more, before or after, ends it
)

// openStep is a step with the rows around it, as far as they are known.
type openStep struct {
	is       bool
	before   [ringRows]stepRow
	nb       int
	from, to float64 // s, it fell in between
	rise     int     // intervals that it took
	after    [afterRows]stepRow
	na       int
}

// push takes the interval between two rows. It hands out a step that is known
// well enough; least is what a change of current has to be, A.
func (s *steps) push(iv *interval, least float64) (done openStep, ok bool) {
	b := stepRow{iv.b.t, iv.b.v, iv.b.i}
	if s.n == 0 {
		s.keep(stepRow{iv.a.t, iv.a.v, iv.a.i})
	}
	d := math.Abs(iv.b.i - iv.a.i)
	if !s.open.is && !iv.gap && (d < least || d < stepShare*math.Abs(iv.a.i)) {
		s.keep(b)
		return done, false
	}
	return s.around(iv, b, d, least)
}

// keep puts a row into the ring.
func (s *steps) keep(r stepRow) {
	s.ring[s.n&(ringRows-1)] = r
	s.n++
}

// around takes an interval with, or soon after, a step.
func (s *steps) around(iv *interval, b stepRow, d, least float64) (done openStep, ok bool) {
	o := &s.open
	switch jump := d >= least && d >= stepShare*math.Abs(iv.a.i); {
	case iv.gap:
		done, ok = s.close()
		s.n = 0
	case o.is && jump && o.na <= 1 && o.rise < slowestRise:
		o.rise++
		o.to, o.na = b.t, 0
		o.add(b)
		s.n = 0
	case jump:
		done, ok = s.close()
		s.begin(iv, b)
	default:
		o.add(b)
		if o.na == afterRows || o.na >= afterEnough && b.t-o.to >= afterSeconds {
			done, ok = s.close()
		}
	}
	s.keep(b)
	return done, ok
}

// begin opens a step, unless the current had not been steady for long enough.
func (s *steps) begin(iv *interval, b stepRow) {
	n := min(s.n, ringRows)
	o := openStep{is: n >= beforeLeast, nb: n, from: iv.a.t, to: iv.b.t}
	for k := range n {
		o.before[k] = s.ring[(s.n-n+k)&(ringRows-1)]
	}
	switch {
	case iv.aEarly: // written because of the step, just before it
		o.to = min(o.to, o.from+writtenWithin)
	case iv.bEarly: // just after it
		o.from = max(o.from, o.to-writtenWithin)
	}
	o.add(b)
	s.open, s.n = o, 0
}

func (o *openStep) add(r stepRow) {
	if o.is && o.na < afterRows {
		o.after[o.na] = r
		o.na++
	}
}

// close ends the wait for more rows.
func (s *steps) close() (done openStep, ok bool) {
	done = s.open
	s.open.is = false
	return done, done.is
}
