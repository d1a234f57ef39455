package analyze

import "math"

// mark is a moment of a log together with all that had flowed by then.
type mark struct {
	row
	sum totals
}

// set copies a mark number by number. In one piece it would be read in larger pieces
// than it has just been written in, for which a processor must wait.
func (m *mark) set(o *mark) {
	m.row.set(&o.row)
	m.sum.set(&o.sum)
}

// last is the last row whose interval was taken, and before the one before it.
func (m *Machine) last() *mark   { return &m.marks[m.latest] }
func (m *Machine) before() *mark { return &m.marks[1-m.latest] }

// advance makes a row the last one.
func (m *Machine) advance(r *row) { m.passed(r, &m.sum) }

// passed does it with a row by which so much had flowed.
func (m *Machine) passed(r *row, sum *totals) {
	m.latest = 1 - m.latest
	now := m.last()
	now.row.set(r)
	now.sum.set(sum)
}

// flow tells whether current flows in one direction, against the meter's own
// zero, and since when. It is a cumulative-sum test: each row adds its evidence,
// in standard deviations, against what is believed now; enough evidence turns
// the belief, and the change is dated to the row where the evidence began. So a
// step of many deviations is seen within two rows, one that drowns in noise
// after as many as it takes, and one odd row never.
type flow struct {
	share  float64 // of scale: less than this does not count as flowing
	offset float64 // A, what the meter shows without current, where that looks like one; see zeroed
	rested float64 // A, what it showed before the charge, where seen tells that somebody saw it
	seen   bool

	on       bool
	level    float64 // A, the current while it flows, smoothed over some rows
	scale    float64 // A, the largest level so far
	evidence float64
	since    mark // the row that began the evidence
	before   mark // the row before that
	leaps    int  // rows in a row that dwarf the level
	leap     mark
	stood    int // rows that the level has gone along with since current flows, up to stoodRows
	mixed    int // rows before that may be on their way from the level to a current that dwarfs it
}

const (
	enoughEvidence = 10
	mostPerRow     = enoughEvidence / 2 // so one row alone never decides
	leastCurrent   = 0.005              // A; below this no bench meter can be trusted (common practice, no source)
	levelRows      = 3
	noiseShare     = 0.015
	surely         = 3   // times the least current that counts as flowing: no meter's zero is off by so much
	surelyDrift    = 1.5 // times the same: nor does one that was seen before the charge move so far during it
	finelyDigits   = 10  // of a fine meter, in place of that least: most are said to be off by three at most
	finelyNoise    = 3   // times its noise; the same
	dwarfs         = 20  // times the level: what flowed so far was the meter's zero, or a trickle
	mixedFrom      = 3   // times the level: a row of more may be on its way to a current that dwarfs it
	stoodRows      = 8   // before it is known what the level is
	mixedRows      = 4   // so many at most, of a charger that starts softly
)

// push takes one row's current in this direction, A, and the row before it. Where
// that makes a change it gives the mark of the change, the first row with current or
// the last one, which is valid until the next call; else nil.
func (f *flow) push(amps float64, before, now *mark, meter *meter) (at *mark) {
	amps -= f.offset
	if f.evidence == 0 && f.asBefore(amps, meter) {
		if f.on {
			f.follow(amps)
		}
		return nil
	}
	noise, step := meter.noise(), meter.digit()
	least := f.least(noise, step)
	// Evidence is what speaks against the belief, in amperes; it makes a row that
	// does not speak against it a division cheaper.
	against := amps - least
	if f.on {
		// Halfway to zero, unless that is still a current beyond doubt: a charger
		// that steps down has not stopped.
		against = min(f.level/2, larger(surely*least, f.surely(least))) - amps
		if amps > f.finely(least, noise, step) { // it speaks for it
			against = smaller(against, least/2-amps)
		}
	}
	dwindled := f.on && f.level < least/2
	if against > 0 || dwindled || f.evidence > 0 {
		if at = f.weigh(against, least, noise, step, dwindled, before, now); at != nil {
			if f.on {
				f.level = amps
			}
			return at
		}
	}
	if !f.on {
		return nil
	}
	if f.leapt(amps, now) {
		shown := f.level
		f.level, f.evidence, f.scale = amps, 0, larger(f.scale, amps)
		f.zeroed(shown, meter)
		if !f.seen {
			f.rested, f.seen = shown+f.offset, true
		}
		return &f.leap
	}
	if f.evidence == 0 && f.leaps == 0 && !f.onItsWay(amps) {
		f.follow(amps)
	}
	return nil
}

// onItsWay reports whether a row may be mixed of what the meter showed until now and of the current of a charger
// that has just been switched on: the level, if it has stood for some rows and nothing larger is known, waits for what comes of it.
func (f *flow) onItsWay(amps float64) bool {
	if f.stood < stoodRows || amps <= mixedFrom*f.level || f.scale > mixedFrom*f.level || f.mixed == mixedRows {
		f.mixed = 0
		return false
	}
	f.mixed++
	return true
}

// asBefore reports whether a row speaks so clearly for what is believed that the
// meter's noise need not be asked. Most rows do: of the least current that counts as
// flowing it is enough to know what it is more, and what it is less than.
func (f *flow) asBefore(amps float64, meter *meter) bool {
	if !f.on {
		return amps <= leastCurrent
	}
	return amps >= f.level/2 && amps < mixedFrom*f.level && f.mixed == 0 && f.leaps == 0 && f.scale >= f.level &&
		f.level > leastCurrent && f.level > meter.digit() && f.level > 2*noiseShare*f.scale
}

// follow lets the level go along with a current that flows.
func (f *flow) follow(amps float64) {
	f.stood = min(f.stood+1, stoodRows)
	f.level += (amps - f.level) / levelRows
	f.scale = larger(f.scale, f.level)
}

// weigh adds a row's evidence. It gives the mark of a change of belief, or nil.
func (f *flow) weigh(against, least, noise, step float64, dwindled bool, before, now *mark) (at *mark) {
	e := against / max(noise, step/2, least/4)
	if f.on {
		e = against / max(noise, step/2, min(f.level, 6*least)/20)
	}
	if dwindled {
		e = mostPerRow
	}
	if f.evidence <= 0 {
		f.since, f.before = *now, *before
	}
	f.evidence = max(f.evidence+min(e, mostPerRow), 0)
	if f.evidence < enoughEvidence {
		return nil
	}
	f.evidence = 0
	f.on, f.stood = !f.on, 0
	if f.on {
		return &f.since
	}
	return &f.before
}

// leapt reports whether current only now really flows: what had been taken for it
// before, when nothing larger was known, is dwarfed by it. Then it begins anew,
// with the first of the large rows.
func (f *flow) leapt(amps float64, m *mark) bool {
	if amps < dwarfs*f.level {
		f.leaps = 0
		return false
	}
	if f.leaps == 0 {
		f.leap = *m
	}
	f.leaps++
	return f.leaps == 2
}

// zeroed learns what the meter shows where no current flows, A, when what was shown is no
// more than its zero may be off by: that of the rows in which a current was just seen to
// have stopped, or of those before a current that dwarfs it. A meter whose zero is off by
// 10 mA would otherwise show a trickle for ever after. What is far from looking like a
// current is left alone, and so is what may be one among noise.
func (f *flow) zeroed(shown float64, meter *meter) {
	f.offset = 0
	if least := f.least(0, meter.digit()); shown > least/2 && shown < f.surely(least) {
		f.offset = shown
	}
}

// surely is a current that is more than the meter's zero may be off by, A. Where that was
// seen before the charge, it is about that still: a float current is often no more than a
// hundredth of the charge's, and a poor meter shows as much without any.
func (f *flow) surely(least float64) float64 {
	if f.seen {
		return larger(f.rested, 0) + surelyDrift*least
	}
	return surely * least
}

// finely is the same of a current that goes on: a meter keeps to its zero by its last digits and its noise. Where these
// are small, what it shows of a float is a current, however little. A coarse one tells no more unless its zero was seen.
func (f *flow) finely(least, noise, step float64) float64 {
	fine := larger(larger(finelyDigits*step, finelyNoise*noise), f.share*f.scale)
	switch {
	case f.seen:
		return larger(f.rested, 0) + surelyDrift*smaller(least, fine)
	case fine < least:
		return surely * fine
	}
	return math.Inf(1)
}

// least is the smallest current that counts as flowing, A. What looks like noise
// may be a float current that really wanders, so noise counts only up to a few
// hundredths of the largest current.
func (f *flow) least(noise, step float64) float64 {
	if f.scale > 0 {
		noise = smaller(noise, noiseShare*f.scale)
	}
	return larger(larger(leastCurrent, 1.5*step), larger(1.5*noise, f.share*f.scale))
}
