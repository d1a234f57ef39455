package analyze

import (
	"fmt"
	"math"
)

// frozen notices readings that repeat exactly although they cannot: a meter that
// hangs, a logger that sends its last line over and over.
//
// Equal readings alone are no fault: a coarse meter, or a quiet one, repeats for
// hours. Two things cannot be. A meter whose readings scattered by nearly a digit
// and more until then cannot repeat sixty times: by chance that happens once in
// ten to the twentieth. (A digit that flickers between two values looks like six
// tenths of a digit at most, and may well come to rest.) And what has moved by
// many digits, a taper or a rise that was steady for long and went on right up to
// it, cannot stand still at once. A taper that had all but levelled off may, and so
// may what a full battery takes, down to what it gasses away, which a coarse meter
// shows in a few digits. It clears with the first reading that differs.
// Common practice, no source, but for the arithmetic of chance.
type frozen struct {
	standstill
	on              bool
	t               float64 // s, of the last row
	rows            int     // that moved since current last began or stopped
	repeats         int     // that did not
	from            float64 // s, of the first that moved
	ended           float64 // s, when it last was on
	patience        float64 // by which its thresholds are stretched
	flowing, shaken bool
	one             stuck
}

// standstill is readings that are the same from row to row.
type standstill struct {
	v, i  float64
	since float64 // s, of the first of them
	run   int     // repeats of it
}

const (
	frozenRows    = 60
	frozenSeconds = 120
	frozenLearned = 200  // rows that must have moved before
	frozenFew     = 30   // the same where they are far apart, and show how the readings scatter for
	frozenLong    = 900  // s: whoever sees to the clamps is done by then
	frozenBegun   = 600  // s: over by then are the step of the leads and the quickest rise
	frozenScatter = 0.9  // digits
	frozenDigits  = 20   // that it moved in as long a time before
	frozenFades   = 0.04 // of that in the last fifth of the time; a fading exponential within half a digit of its end brings less
	frozenPeaks   = 0.1  // the same of a voltage; one that comes to its peak brings less
	frozenLeaps   = 0.6
	frozenNothing = 0.1 // V: less is no battery, and what a meter shows with nothing at its clamps may stand for days
	frozenGasses  = 2   // times the tail: with more a battery is not full
)

// push takes a row, before the meters have learned from it.
func (f *frozen) push(r *row, volts, amps *meter, flowing bool) (changed bool) {
	f.one.follow([]row{*r})
	if f.one.which != bothHang {
		f.moved(r)
		if changed = f.one.of(f.one.which).run == 0; changed {
			f.on, f.ended, f.one.which = false, r.t, bothHang
		}
		return changed
	}
	if !r.stands(f.v, f.i) {
		f.moved(r)
		if flowing != f.flowing {
			f.flowing, f.rows, f.repeats = flowing, 0, 0
		}
		if changed = f.on; changed {
			f.on, f.ended = false, r.t
		}
		return changed
	}
	f.repeats++
	if f.run++; f.run == 1 {
		f.since = f.t
		nothing := math.Abs(f.v) < frozenNothing
		f.shaken = !nothing && f.learned(volts) && (scatters(volts) || scatters(amps))
	}
	if f.on || !f.shaken || float64(f.run) < f.patience*frozenRows || r.t-f.since < f.patience*frozenSeconds {
		return false
	}
	f.on, f.one.was = true, bothHang
	return true
}

// learned reports whether enough rows were seen to know how the readings scatter: many, or some
// over a long time, beside what the meter showed before. Of readings that scatter by a digit a
// third repeats; where more than that did, it is a coarser range of the meter that shows now.
func (f *frozen) learned(volts *meter) bool {
	return f.rows >= frozenLearned || f.rows >= frozenFew && 2*f.repeats <= f.rows && f.since-f.from >= frozenLong && volts.n >= learned
}

// moved takes a row that differs from the one before it.
func (f *frozen) moved(r *row) {
	if f.rows == 0 {
		f.from = r.t
	}
	f.rows++
	f.v, f.i, f.t, f.run = r.v, r.i, r.t, 0
}

// mayStand is how many of the rows to come may repeat for certain before anything is said of it.
func (f *frozen) mayStand() int {
	n := int(math.Ceil(f.patience*frozenRows)) - 1
	if f.run > 0 && f.shaken {
		n -= f.run
	}
	return n
}

// follow takes rows of which no more repeat than may; all of them do, or the last does not. The first
// was taken before.
func (f *frozen) follow(rows []row) {
	f.one.follow(rows[1:])
	last := len(rows) - 1
	if f.rows >= frozenLearned && !rows[last].stands(rows[last-1].v, rows[last-1].i) {
		f.moved(&rows[last]) // how many do is of no account any more
		return
	}
	for k := range rows[1:] {
		if b := &rows[k+1]; b.stands(rows[k].v, rows[k].i) {
			f.repeats, f.run = f.repeats+1, f.run+1
		} else {
			f.moved(b)
		}
	}
}

// stands reports whether a row shows a voltage and current again. A thermometer is a device of its own
// mostly, and may live beside a meter that hangs.
func (r *row) stands(v, i float64) bool { return r.v == v && r.i == i }

// repeats reports whether a row says the same as the one before it.
func (r *row) repeats(before *row) bool {
	return r.v == before.v && r.i == before.i && !(r.celsius != before.celsius && r.celsius == r.celsius)
}

// scatters reports whether a meter's readings scatter so much that they cannot repeat.
func scatters(m *meter) bool { return m.step() > 0 && m.noise() >= frozenScatter*m.step() }

// stands reports whether readings, or one of them, repeat that had moved steadily until then.
func (f *frozen) stands(s *sight) bool {
	switch {
	case f.on:
		return false
	case f.standstill.odd(s, f.patience):
		f.one.was = bothHang
		return true
	case float64(max(f.one.volts.run, f.one.amps.run)) < f.patience*frozenRows:
		return false // the usual case, without a look at the trace
	}
	one := f.one.candidate(s)
	if one == bothHang {
		return false
	}
	of := f.one.of(one)
	alone := standstill{v: f.one.volts.x, i: f.one.amps.x, since: of.since, run: of.run}
	if !alone.odd(s, f.patience) {
		return false
	}
	f.standstill, f.one.which, f.one.was = alone, one, one
	return true
}

// odd reports whether so many repeats came after readings had moved steadily: over as long a
// time before, or since the step with which a charge begins, and by so many digits.
func (q *standstill) odd(s *sight, patience float64) bool {
	if s.c.hold.found && !s.v.id.chemistry.Lithium() && (Known(s.v.finish) || q.gasses(s)) {
		return false // what is left is the gassing, which lithium has none of
	}
	length := s.now - q.since
	if float64(q.run) < patience*frozenRows || length < patience*5*frozenSeconds {
		return false
	}
	if length = min(length, q.since-s.c.begin.t-frozenBegun); length < frozenLong {
		return false
	}
	w := motion{seconds: length, ebbs: frozenPeaks}
	for k, ago := range [3]float64{length, length / 5, 0} {
		b := q.before(&s.c.trace, ago)
		w.moved[k] = q.v - b.v
		if s.c.hold.found {
			w.moved[k] = b.i - q.i
		}
		w.last = q.since - (b.t0+b.t1)/2
	}
	step := s.volts.step()
	if s.c.hold.found {
		step, w.ebbs = s.amps.step(), frozenFades
	}
	return step > 0 && w.steady(step)
}

// gasses reports whether a current may be what a full battery gasses away although the tail has not come: it is not
// far above that, and the meter shows it in so few digits that a kelvin more or less, which brings 7 % of it, leaves
// it the same.
func (q *standstill) gasses(s *sight) bool {
	return q.i <= frozenGasses*s.v.limit.at(s.went()) && q.i < frozenDigits*s.amps.step()
}

// before is the last of the trace that lies so many seconds before the readings came to
// stand.
func (q *standstill) before(tr *trace, seconds float64) block {
	k := tr.index(q.since - seconds)
	if tr.bins[k].t1 >= q.since {
		k = max(k-1, 0)
	}
	return tr.blockOf(k, k+1)
}

// motion is how far a reading moved until it came to stand: in so many seconds, in the
// last fifth of them, and since the row before, which was last seconds ago.
type motion struct {
	seconds, last float64
	ebbs          float64 // share that the last fifth brings where it levels off
	moved         [3]float64
}

// steady reports whether it moved by many digits, and went on right up to its end: its
// last fifth brought neither next to nothing, as when a taper levels off, nor most of
// it, and it did not end in a step, as when a charger goes to float.
func (w *motion) steady(step float64) bool {
	whole, fifth, jump := w.moved[0], w.moved[1], w.moved[2]
	return whole > frozenDigits*step && fifth > w.ebbs*whole+step && fifth < frozenLeaps*whole &&
		jump < 3*whole*w.last/w.seconds+2*step
}

// misleads reports whether the means of the last minutes are of readings that stood.
func (f *frozen) misleads(now float64) bool {
	return f.on || f.ended > 0 && now < f.ended+2*flatBlock
}

func (f *frozen) message() string {
	if f.one.which != bothHang {
		return f.one.message()
	}
	return fmt.Sprintf("voltage and current are the same since %s (%.4g V, %.4g A), %d in a row, although they scattered or moved before: the meter or its logger hangs. What it says must not be trusted; look at its display, and start it again", clock(f.since), f.v, f.i, f.run+1)
}
