package analyze

import "math"

// A clock that is set far ahead in mid-charge looks like a hole in the log. Where the same
// current flows on both sides of it, at the same voltage, and would have filled the battery
// several times over meanwhile, no time passed: a charge does not stand still for days. A float
// does, and keeps its hole. A leap by an hour, as when summer time begins, cannot be told from a
// hole like that. Common practice, no source.
const (
	leapSeconds = 6 * 3600 // s
	leapNeeds   = 3        // times what the battery can take, by the current and the clock
	leapAmps    = 0.05     // of the current: so near is the same
	leapVolts   = 0.005    // of the voltage
)

// backFromLeap is asked with the row after one that leapt far ahead, and takes the leap back if
// it was the clock's.
func (m *Machine) backFromLeap(s *Sample) {
	l := &m.timeline
	l.far = false
	b, c := &l.before, m.charge
	if !l.leapt || c == nil || c.stopped || !(s.At > l.at) || b.i < floatCurrent*c.most {
		return
	}
	if b.i*(l.at-b.at) < leapNeeds*max(m.opt.Capacity, c.went()) {
		return
	}
	amps := max(leapAmps*b.i, 4*m.amps.noise(), 1.5*m.amps.step())
	volts := max(leapVolts*b.v, 4*m.volts.noise(), 1.5*m.volts.step())
	if max(math.Abs(l.i-b.i), math.Abs(s.Amps-b.i)) > amps || max(math.Abs(l.v-b.v), math.Abs(s.Volts-b.v)) > volts {
		return
	}
	t := b.t + b.usual()
	l.t = t
	m.window.rows[m.window.n-1].t = t // no interval of it has been judged yet: that takes two rows more
	m.noted(m.book().clockStep(t, l.leapLine, m.opt.Patience), CodeClockStep)
}
