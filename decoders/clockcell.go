package decoders

import "math"

// A cell may hold a clock with more before it than clockAt reads in the middle of a
// line: the days of a duration, 0.20:00:05, or a date without its year, 14.03. 20:40:05,
// which the clock makes up for by passing midnight. Or it has points for colons, 20.40.

// clockCell reads a cell that is a clock as a whole; n is less than its length where it
// is none.
func clockCell(cell []byte, form string) (s float64, n int) {
	switch form {
	case formDots:
		return dotted(cell)
	case formDigits:
		return digitClock(cell)
	case formHM:
		return minuteClock(cell)
	case formDHMS:
		return dayClock(cell)
	}
	s, n = clockAt(cell, form)
	if n == len(cell) || form != formHMS {
		return s, n
	}
	before, days := beforeClock(cell)
	if before == 0 || before == len(cell) {
		return s, n
	}
	if c, k := clockAt(cell[before:], formHMS); k == len(cell)-before && c < day {
		return float64(days)*day + c, len(cell)
	}
	return s, n
}

// beforeClock is the length of days or a date without a year before a clock.
func beforeClock(b []byte) (n, days int) {
	x, k := digits(b)
	rest := b[k:]
	switch {
	case k > 4 || len(rest) < 2:
		return 0, 0
	case k > 0 && (rest[0] == '.' || rest[0] == ' ') && rest[1]-'0' <= 9:
		if _, h := digits(rest[1:]); h < len(rest)-1 && rest[1+h] == ':' {
			return k + 1, x
		}
	}
	n = k
	for parts := min(k, 1); parts < 2; parts++ {
		for n < len(b) && dateMark(b[n]) && b[n] != ',' {
			n++
		}
		_, k := digits(b[n:])
		if k == 0 {
			if _, k = monthAt(b[n:]); k == 0 {
				break
			}
		}
		if n+k < len(b) && b[n+k] == ':' {
			return n, 0
		}
		n += k
	}
	for n < len(b) && dateMark(b[n]) {
		n++
	}
	return n, 0
}

// isAll tells whether a cell is what is read at its start, and nothing more.
func isAll(cell []byte, read func([]byte) (x float64, n int)) bool {
	_, n := read(cell)
	return n == len(cell)
}

// dotted reads a cell like 20.40 or 20.40.05.
func dotted(cell []byte) (s float64, n int) {
	x, n := digits(cell)
	if n == 0 || n > 2 || x > 23 || n == len(cell) || cell[n] != '.' && cell[n] != ',' {
		return 0, 0
	}
	mark := cell[n]
	s = float64(x) * 3600
	for _, seconds := range []float64{60, 1} {
		if n == len(cell) {
			break
		}
		if cell[n] != mark {
			return 0, 0
		}
		x, k := digits(cell[n+1:])
		if k != 2 || x > 59 {
			return 0, 0
		}
		s += float64(x) * seconds
		n += 1 + k
	}
	return s, n
}

// dotted tells a column of clocks with points: hours, minutes and seconds that are no
// dates, or, of two numbers only, a time by name that goes back at midnight, or one that
// goes from fifty-odd to the next whole number as minutes do.
func (c *column) dotted(dates int) bool {
	seen, long, crossed, even := 0, 0, 0, true
	last, lastHour, step := math.NaN(), math.NaN(), math.NaN()
	back := false
	for _, cell := range c.cells {
		cell = trim(cell)
		if len(cell) == 0 {
			continue
		}
		s, n := dotted(cell)
		if n < len(cell) {
			return false
		}
		seen++
		if n > 5 {
			long++
		}
		d := s - last
		if d < 0 {
			d, back = d+day, true
		}
		if hour := math.Floor(s / 3600); hour != lastHour {
			if d <= 3*step && d < 3600 {
				crossed++
			}
			lastHour = hour
		}
		if d > 0 {
			even = even && !(d > 3*step || d*3 < step)
			step = d
		}
		last = s
	}
	told := c.said.of == Time || c.said.of == Clock
	switch {
	case seen == 0 || c.said.of != none && !told:
		return false
	case long > 0:
		return long == seen && (told || dates < seen)
	}
	return c.said.of == Clock || told && back || even && crossed > 1 && seen >= 8
}
