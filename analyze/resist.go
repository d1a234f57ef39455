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
	done openStep
}

const (
	ringRows  = 16 // a power of two
	afterRows = 32

	beforeLeast   = 4
	beforeSeconds = 60 // s; more rows than the least are taken from no longer ago
	afterLeast    = 4
	afterEnough   = 6   // rows, once
	afterSeconds  = 60  // s have passed
	slowestRise   = 4   // intervals that a step may take
	writtenWithin = 1   // s, how soon a row follows what made it be written
	clearlyEarly  = 0.5 // of the usual interval; what is less early may be a logger's jitter

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

// push takes the interval between two rows. It gives a step that is known well
// enough, until the next call, or nil. Almost no row has to do with a step, so
// what most have in common is asked first.
func (s *steps) push(iv *interval, amps *meter) *openStep {
	d := math.Abs(iv.b.i - iv.a.i)
	jump := d >= stepNoises*leastCurrent && d >= stepShare*math.Abs(iv.a.i) &&
		d >= stepNoises*larger(amps.noise(), amps.step())
	if s.n == 0 {
		s.keep(iv.a)
	}
	if jump || iv.gap || s.open.is {
		return s.around(iv, jump)
	}
	s.keep(iv.b)
	return nil
}

// keep puts a row into the ring.
func (s *steps) keep(r *row) {
	s.ring[s.n&(ringRows-1)] = stepRow{r.t, r.v, r.i}
	s.n++
}

// follow puts rows into it that have nothing to do with a step.
func (s *steps) follow(rows []row) {
	if skip := len(rows) - ringRows; skip > 0 {
		s.n += skip
		rows = rows[skip:]
	}
	for k := range rows {
		s.keep(&rows[k])
	}
}

// around takes an interval with, or soon after, a step.
func (s *steps) around(iv *interval, jump bool) (done *openStep) {
	o := &s.open
	switch {
	case iv.gap:
		done = s.close()
		s.n = 0
	case jump && o.is && o.na <= 1 && o.rise < slowestRise:
		o.rise++
		o.to, o.na = iv.b.t, 0
		o.add(iv.b)
		s.n = 0
	case jump:
		done = s.close()
		s.begin(iv)
	default:
		o.add(iv.b)
		if o.na == afterRows || o.na >= afterEnough && iv.b.t-o.to >= afterSeconds {
			done = s.close()
		}
	}
	s.keep(iv.b)
	return done
}

// begin opens a step, unless the current had not been steady for long enough.
func (s *steps) begin(iv *interval) {
	n := min(s.n, ringRows)
	o := openStep{is: n >= beforeLeast, nb: n, from: iv.a.t, to: iv.b.t}
	for k := range n {
		o.before[k] = s.ring[(s.n-n+k)&(ringRows-1)]
	}
	switch {
	case iv.aEarly && iv.before < clearlyEarly*iv.usual: // written because of the step, just before it
		o.to = min(o.to, o.from+writtenWithin)
	case iv.bEarly && iv.dt < clearlyEarly*iv.usual: // just after it
		o.from = max(o.from, o.to-writtenWithin)
	}
	o.add(iv.b)
	s.open, s.n = o, 0
}

func (o *openStep) add(r *row) {
	if o.is {
		o.after[o.na] = stepRow{r.t, r.v, r.i}
		o.na++
	}
}

// close ends the wait for more rows; nil where there was none.
func (s *steps) close() *openStep {
	if !s.open.is {
		return nil
	}
	s.done = s.open
	s.open.is = false
	return &s.done
}
