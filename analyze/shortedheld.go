package analyze

import "math"

// A cell that shorts while a charger holds its voltage leaves the others below that, who then take all the current there
// is: it leaps to what the charger can give, while the voltage falls by what the cell had, less what the others climb by
// for the larger current. A load that comes on beside the battery does the same to the meter: more current,
// less voltage. What tells them apart is where the battery goes from there. The others of a shorted cell are charged
// harder than before, and polarise: their voltage climbs for some minutes, and then stands, or sinks as they
// boil. A battery whose current a load takes gives way for hours. And another battery that was put
// beside this one climbs, too, but goes on to, for it is being filled (physics; the figures are common practice, no source).
const (
	leaptFall    = 0.02 // of the voltage, at least
	leaptGone    = 0.01 // of the voltage, for good
	leaptCell    = 2.4  // V, of an unknown kind the most cells
	leaptAbove   = 0.12 // of the voltage: so far a battery that is held stands above its rest; what the others climb by is more in proportion to the current at the most
	leaptMore    = 1.1  // times the current, and times what a source of constant power gives more
	leaptSteady  = 0.05 // of the current: so steady it must have been since
	leaptStarts  = 60   // s after the leap that do not count: a load may start hard
	leaptUntil   = 600  // s after it, in the last two minutes of which the voltage must have climbed
	leaptClimb   = 0.02 // of the fall
	leaptStands  = 600  // s in which it must not have climbed over as long before
	leaptSettles = 300  // s after the leap that those must not begin in
	leaptSinks   = 0.15 // of the fall: more in so long is another step
)

// fallOfHeld looks for a fall at which the current leapt, and which has lasted; without one its fall is 0.
func (s *sight) fallOfHeld() shorted {
	tr := &s.c.trace
	patience := s.o.Patience.of(CodeVoltageNotReached)
	stands := leaptStands * patience
	now := tr.ending(0, s.end, shortedRows, stands)
	low := tr.steadySince(s.end, now.i, leaptSteady*now.i+4*s.amps.noise()+s.amps.step())
	high := low - 1 // a bin that may be mixed of before and after
	if high < 1 || low == s.end {
		return shorted{}
	}
	begun := tr.bins[low].t0
	if now.t1-begun < leaptSettles+2*stands || begun < s.c.pauses.until || begun < s.c.sighted {
		return shorted{}
	}
	before := tr.ending(0, high, shortedRows, shortedBlock)
	first := tr.ending(tr.index(begun+leaptStarts), tr.index(begun+leaptStarts+shortedBlock)+1, 1, shortedBlock)
	f := shorted{since: tr.bins[high-1].t1, before: before.v, dip: first.v, after: now.v, amps: before.i, leap: now.i, last: now.v, of: s.c.bounds.of}
	if !s.leapt(&f, &before, high, low) || !s.polarised(&f, &first) {
		return shorted{}
	}
	earlier := tr.ending(low, tr.index(now.t0), shortedRows, stands)
	if now.v > earlier.v+s.meanUnsure(&now, &earlier) || s.fellAgain(&f, low) {
		return shorted{} // it is on its way back, or another load came on
	}
	return f
}

// leapt reports whether the voltage fell at once as the current rose, by what a cell leaves when it is gone, and is
// not back.
func (s *sight) leapt(f *shorted, before *block, high, low int) bool {
	tr := &s.c.trace
	cells := float64(f.of.cells)
	if cells == 0 {
		cells = max(math.Round(f.before/leaptCell), 2)
	}
	more := f.leap/before.i - 1
	least := f.before/cells - leaptAbove*f.before*(1-1/cells)*more
	unsure := 2 * (4*s.volts.noise() + s.volts.step())
	fell := f.before - f.dip
	if cells < 2 || fell < max(least, leaptFall*f.before, unsure) || fell > shortedMost*f.before/cells || f.fall() < max(leaptGone*f.before, unsure/2) {
		return false
	}
	last, first := &tr.bins[high-1], &tr.bins[low]
	halfA, halfV := (before.i+f.leap)/2, before.v-fell/2
	return f.leap > leaptMore*before.i*f.before/f.dip &&
		last.i() < halfA && last.v() > halfV && first.v() < halfV && before.t0 > s.c.pauses.until
}

// polarised reports whether the voltage has climbed in the minutes after what it came to first.
func (s *sight) polarised(f *shorted, first *block) bool {
	tr := &s.c.trace
	from := tr.index(first.t0 + leaptUntil - shortedBlock)
	then := tr.blockOf(from, max(tr.index(first.t0+leaptUntil), from+1))
	return then.v-first.v > max(leaptClimb*(f.before-f.dip), s.meanUnsure(first, &then))
}

// fellAgain reports whether the voltage has taken another step down since bin low.
func (s *sight) fellAgain(f *shorted, low int) bool {
	tr := &s.c.trace
	later := tr.ending(low, s.end, shortedRows, leaptSettles)
	for end := tr.index(later.t0); end > low; {
		k := max(tr.tailEnd(end, shortedRows, leaptSettles), low)
		b := tr.blockOf(k, end)
		if b.v > later.v+leaptSinks*(f.before-f.dip)+s.meanUnsure(&b, &later) {
			return true
		}
		later, end = b, k
	}
	return false
}

// meanUnsure is how far two means may differ by noise and rounding alone, V.
func (s *sight) meanUnsure(a, b *block) float64 {
	return 3*s.volts.noise()*math.Sqrt(1/a.rows+1/b.rows) + s.volts.step()/4
}

// steadySince is the bin from which on the current was within so much of a level, up to bin end.
func (tr *trace) steadySince(end int, level, slack float64) int {
	k := end
	for k > 0 && math.Abs(tr.bins[k-1].i()-level) <= slack {
		k--
	}
	return k
}
