package decoders

import "math"

// A clock may have no marks at all, 204005 for 20:40:05; a spreadsheet takes the zeros
// before it away, 5 for five seconds past midnight. A column of these looks like a count of
// seconds that leaps by 41 at each minute.

// rarest is how few cells of a column may be torn: one in so many (our own figure).
const rarest = 50

// digitClock reads such a cell.
func digitClock(cell []byte) (s float64, n int) {
	x, n := digits(cell)
	h, m, sec := x/10000, x/100%100, x%100
	if n == 0 || n > 6 || h > 23 || m > 59 || sec > 59 {
		return 0, 0
	}
	s = float64(h*3600 + m*60 + sec)
	if n+1 < len(cell) && cell[n] == '.' {
		if part, k := digits(cell[n+1:]); k > 0 {
			return s + float64(part)/pow10[k], n + 1 + k
		}
	}
	return s, n
}

// digital tells a column of them: each of so many different ones is a clock, and there were
// minutes or hours full in which the digits leapt and the clock went on.
func (c *column) digital() bool {
	const many = 40
	if c.levels < many && !c.six() || c.said.of != none && c.said.of != Time && c.said.of != Clock || c.said.unit != nil || c.minimum < 0 {
		return false
	}
	leaps, strange, usual := 0, 0, math.NaN() // strange: no clock, or one that goes back by less than to midnight
	last, lastX := math.NaN(), math.NaN()
	for row, cell := range c.cells {
		cell = trim(cell)
		if len(cell) == 0 {
			continue
		}
		s, n := digitClock(cell)
		if n != len(cell) {
			strange++
			continue
		}
		d, x := s-last, c.x[row]
		switch {
		case d > 0 && x-lastX > 1.3*d && d <= 1.5*usual:
			leaps++
		case d > 0:
			usual = d
		case d < 0 && d > -day/2:
			strange++
		}
		last, lastX = s, x
	}
	return (leaps > 1 || c.levels < many) && strange*rarest <= len(c.cells)
}

// six tells cells of six digits each that go on by less than a minute, or by whole minutes, as those of a clock with
// its zeros do. A count of seconds looks so for some hours a week.
func (c *column) six() bool {
	for _, cell := range c.cells {
		cell = trim(cell)
		if _, n := digits(cell); len(cell) > 0 && (n != 6 || n != len(cell)) {
			return false
		}
	}
	return c.n > 4 && c.whole && c.rising > 0 && c.falling == 0 && (c.stepHigh < 60 || c.minutely())
}

// minutely tells that all steps but those at full hours are the same minutes, and the seconds the same: 204005,
// 204105. Where these are noughts it may as well be milliseconds that are counted.
func (c *column) minutely() bool {
	const minute = 100 // in such digits
	same := c.stepLow >= minute && c.stepLow == c.stepMid && math.Mod(c.stepLow, minute) == 0 && math.Mod(c.stepHigh, minute) == 0
	return same && math.Mod(c.first, minute) != 0
}

// minuteClock reads a cell without seconds, 2040 for 20:40.
func minuteClock(cell []byte) (s float64, n int) {
	x, n := digits(cell)
	h, m := x/100, x%100
	if n == 0 || n > 4 || n < len(cell) || h > 23 || m > 59 {
		return 0, 0
	}
	return float64(h*3600 + m*60), n
}

// toMinutes tells a column of them from a clock with seconds that lost its zeros, 2040 for 00:20:40: its
// name says so, or the last minute of the day is followed by the first, or all have four digits, as
// the other has for a quarter of an hour a day. From 0000 on they may be minutes and seconds that have gone.
func (c *column) toMinutes() bool {
	if c.minimum < 0 || c.maximum > 2359 || c.said.unit != nil || c.said.of != none && c.said.of != Time && c.said.of != Clock {
		return false
	}
	named := c.name != "" && hasAny(c.name, "hhmm")
	if !named && (!c.whole || c.levels <= 40 || c.falling > 0.1) {
		return false
	}
	midnight, four, strange, leaps, last := false, c.first >= 100, 0, 0, math.NaN()
	for _, cell := range c.cells {
		if cell = trim(cell); len(cell) == 0 {
			continue
		}
		s, n := minuteClock(cell)
		if n == 0 || s < last && s > last-day/2 {
			strange++
			continue
		}
		if math.Floor(s/3600) != math.Floor(last/3600) && s-last > 0 && s-last <= 600 {
			leaps++
		}
		midnight = midnight || last >= day-3600 && s < 3600
		four = four && n == 4
		last = s
	}
	return (named || leaps > 0 && (midnight || four)) && strange*rarest <= len(c.cells)
}
