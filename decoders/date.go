package decoders

// dateAt reads a date at the start of b: three numbers with a mark between,
// eight digits (year first), or a month by name. It returns seconds since
// 1970 of that day's midnight and the length read, 0 where there is none or
// where no such day exists. Numbers with two sorts of marks between are no date, nor is
// one with a year of three digits: 10,12.010 is a tenth row with twelve volts. Nor does a month by name
// stand last: 1,14-Nov-2023 is the first row, on the fourteenth.
func dateAt(b []byte, form string) (s float64, n int) {
	var p dateParts
	if n = p.read(b); n == 0 {
		return 0, 0
	}
	y, m, d := p.inOrder(form)
	if y < 100 {
		y += 2000
	}
	if m < 1 || m > 12 || d < 1 || d > monthDays(y, m) || y < 1970 || y > 2200 {
		return 0, 0
	}
	return float64(daysFrom1970(y, m, d)) * day, n
}

// dateParts are the three numbers of a date as they stand there.
type dateParts struct {
	value, width [3]int // width is 0 for a month by name
	named        int    // which of them is that; -1 for none
}

// read reads them, and returns how long they are; 0 where there are none.
func (p *dateParts) read(b []byte) (n int) {
	p.named = -1
	var marks [3]byte
	for f := range p.value {
		if f > 0 {
			if n >= len(b) || p.width[0] == 8 || !dateMark(b[n]) && (b[n] != ':' || p.width[0] != 4) {
				break
			}
			marks[f] = b[n]
			n++
			for n < len(b) && dateMark(b[n]) && (b[n] == ' ' || b[n-1] != ' ') {
				n++
			}
		}
		x, k := digits(b[n:])
		p.width[f] = k
		if k == 0 {
			if x, k = monthAt(b[n:]); k == 0 {
				return 0
			}
			p.named = f
		}
		p.value[f] = x
		n += k
	}
	if w := &p.width; w[0] == 8 && p.named < 0 && w[1] == 0 { // 20260314
		x := p.value[0]
		p.value, *w = [3]int{x / 10000, x / 100 % 100, x % 100}, [3]int{4, 2, 2}
	}
	switch w := &p.width; {
	case n < len(b) && b[n] == ':' && w[0] != 4 && w[2] < 4: // the third is the hour behind a date without a year
		return 0
	case w[2] == 0, p.named < 0 && (marks[1] != marks[2] || w[2] == 3):
		return 0
	}
	return n
}

// inOrder says which of them is what.
func (p *dateParts) inOrder(form string) (y, m, d int) {
	v := p.value
	switch {
	case p.named == 0: // Mar 14 2026
		return v[2], v[0], v[1]
	case p.named == 1 && p.width[0] <= 2: // 14 Mar 2026
		return v[2], v[1], v[0]
	case p.width[0] == 4: // whatever was said, nobody writes 2026 for a day
	case form == formDMY:
		return v[2], v[1], v[0]
	case form == formMDY:
		return v[2], v[0], v[1]
	}
	return v[0], v[1], v[2]
}

func dateMark(c byte) bool { return c == '-' || c == '/' || c == '.' || c == ' ' || c == ',' }

func monthDays(y, m int) int {
	switch m {
	case 2:
		if y%4 == 0 && (y%100 != 0 || y%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}

// daysFrom1970 counts days in the Gregorian calendar, March being the first
// month so that the leap day is the last of its year.
func daysFrom1970(y, m, d int) int {
	if m <= 2 {
		y--
		m += 12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + d - 1 - 719468
}
