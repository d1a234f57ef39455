package analyze

import "math"

// Most samples follow the one before as samples do: a little later, with nothing to
// doubt in them. So many of them as come in a row are kept without asking each part
// about each of them. A sample that is not plain for certain goes the long way (see
// take). What comes out is the same to the last bit.

// evenly keeps the samples that the given ones begin with and that need no thought, as
// far as there is room. It gives how many these are.
func (m *Machine) evenly(samples []Sample) (n int) {
	l, w := &m.timeline, &m.window
	if m.silent || !l.steady() || w.n < 2 {
		return 0
	}
	rows := w.rows[w.n:]
	samples = samples[:min(len(samples), len(rows))]
	before, last, volts := math.Abs(w.rows[w.n-2].i), math.Abs(w.rows[w.n-1].i), w.rows[w.n-1].v
	at, t, pace, told, twice := l.at, l.t, l.pace, m.told, w.twice
	undated := m.wall < clockSet
	high := math.Abs(volts)
	for k := range samples {
		s := &samples[k]
		d := s.At - at
		was, amps := high, math.Abs(s.Amps)
		high = math.Abs(s.Volts)
		if !(d > 0 && d <= ahead*pace) || !(high < maxVolts && amps < maxAmps) || undated && s.Wall != 0 {
			break
		}
		if last > aloneTimes*before && last > aloneTimes*amps && (before > aloneLeast || last > smaller(aloneMost, aloneTimes*twice)) { // the row before may stand alone
			break
		}
		if leap := math.Abs(s.Volts - volts); leap > aloneVolts/2*was { // or this one does
			break
		}
		if Known(s.Celsius) {
			told = s.Celsius
		}
		at, t, pace = s.At, t+d, d
		if last > twice && amps > twice { // rarely, while which of the two is less is anybody's guess
			twice = smaller(last, amps)
		}
		before, last, volts = last, amps, s.Volts
		r := &rows[k]
		r.t, r.v, r.i, r.celsius, r.skew = t, s.Volts, s.Amps, told, s.Skew
		n++
	}
	if n > 0 {
		l.follow(samples[:n], t)
		w.n += n
		w.twice = twice
		m.told, m.lineBefore = told, samples[n-1].Line
		m.rows += n
	}
	return n
}
