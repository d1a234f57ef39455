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
	if c.levels < many || c.said.of != none && c.said.of != Time && c.said.of != Clock || c.said.unit != nil || c.minimum < 0 {
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
	return leaps > 1 && strange*rarest <= len(c.cells)
}
