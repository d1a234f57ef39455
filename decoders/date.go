package decoders

// dateAt reads a date at the start of b: three numbers with a mark between,
// eight digits (year first), or a month by name. It returns seconds since
// 1970 of that day's midnight and the length read, 0 where there is none or
// where no such day exists. Numbers with two sorts of marks between are no date, nor is
// one with a year of three digits: 10,12.010 is a tenth row with twelve volts.
func dateAt(b []byte, form string) (s float64, n int) {
	var p [3]int
	var width [3]int
	var marks [3]byte
	named := -1
	i := 0
	for f := range p {
		if f > 0 {
			if i >= len(b) || width[0] == 8 || !dateMark(b[i]) && (b[i] != ':' || width[0] != 4) {
				break
			}
			marks[f] = b[i]
			i++
			for i < len(b) && dateMark(b[i]) && (b[i] == ' ' || b[i-1] != ' ') {
				i++
			}
		}
		x, k := digits(b[i:])
		if k == 0 {
			if x, k = monthAt(b[i:]); k == 0 {
				return 0, 0
			}
			named = f
		} else {
			width[f] = k
		}
		p[f] = x
		i += k
	}
	if width[0] == 8 && named < 0 && width[1] == 0 { // 20260314
		p, width = [3]int{p[0] / 10000, p[0] / 100 % 100, p[0] % 100}, [3]int{4, 2, 2}
	}
	if i < len(b) && b[i] == ':' && width[0] != 4 && width[2] < 4 { // the third is the hour behind a date without a year
		return 0, 0
	}
	if width[2] == 0 && named != 2 || named < 0 && (marks[1] != marks[2] || width[2] == 3) {
		return 0, 0
	}
	y, m, d := p[0], p[1], p[2]
	switch {
	case named == 1 && width[0] <= 2:
		d, m, y = p[0], p[1], p[2]
	case named == 0:
		m, d, y = p[0], p[1], p[2]
	case width[0] == 4: // whatever was said, nobody writes 2026 for a day
	case form == formDMY:
		d, m, y = p[0], p[1], p[2]
	case form == formMDY:
		m, d, y = p[0], p[1], p[2]
	}
	if y < 100 {
		y += 2000
	}
	if m < 1 || m > 12 || d < 1 || d > monthDays(y, m) || y < 1970 || y > 2200 {
		return 0, 0
	}
	return float64(daysFrom1970(y, m, d)) * day, i
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
