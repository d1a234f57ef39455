package decoders

// The forms in which a time is written, as a setting names them. Numbers of
// seconds and the like have a unit instead.
const (
	formHMS    = "h:m:s" // 1:02:03.5, 21:40, 9:40 PM
	formMS     = "m:s"   // 62:03.5, minutes first
	formYMD    = "y-m-d" // year first, any mark between; RFC 3339 is of this form
	formDMY    = "d-m-y"
	formMDY    = "m-d-y"
	formUnix   = "unix"
	formUnixMs = "unix-ms"
	formUnixUs = "unix-us"
	formUnixNs = "unix-ns"
	formSerial = "days-1900" // days and parts of days, as spreadsheets count them
)

var timeForms = []string{formHMS, formMS, formYMD, formDMY, formMDY, formUnix, formUnixMs, formUnixUs, formUnixNs, formSerial}

const day = 86400

// serialEpoch is day 25569 of spreadsheets: 1970-01-01 (common practice; it
// holds from March 1900 on).
const serialEpoch = 25569

// digits reads the digits that b begins with.
func digits(b []byte) (x, n int) {
	for n < len(b) && n < 9 && b[n]-'0' <= 9 {
		x = x*10 + int(b[n]-'0')
		n++
	}
	return x, n
}

// clockAt reads h:mm, h:mm:ss or h:mm:ss.fff, with AM or PM, at the start of
// b: seconds and the length read, 0 where there is none. In form m:s it reads
// mm:ss or mm:ss.f instead.
func clockAt(b []byte, form string) (s float64, n int) {
	h, i := digits(b)
	if i == 0 || i > 6 || i >= len(b) || b[i] != ':' {
		if form == formHMS && i > 0 && i <= 6 {
			return spelt(b)
		}
		return 0, 0
	}
	m, k := digits(b[i+1:])
	if k == 0 || k > 2 || m > 59 {
		return 0, 0
	}
	i += 1 + k
	s = float64(h*3600 + m*60)
	if form == formMS {
		s = float64(h*60 + m)
	}
	if form != formMS && i < len(b) && b[i] == ':' {
		sec, k := digits(b[i+1:])
		if k == 0 || k > 2 || sec > 60 {
			return 0, 0
		}
		i += 1 + k
		s += float64(sec)
	}
	if i+1 < len(b) && (b[i] == '.' || b[i] == ',') {
		if frac, k := digits(b[i+1:]); k > 0 {
			s += float64(frac) / pow10[k]
			i += 1 + k
			for i < len(b) && b[i]-'0' <= 9 { // beyond ns
				i++
			}
		}
	}
	half, k := halfDay(b[i:])
	if k > 0 && h <= 12 {
		s += float64(half-h/12) * 43200
		i += k
	}
	return s, i
}

// spelt reads 1h02m03s, 62m03s or 1h02m: two parts at least, the larger first, and
// nothing of a word behind.
func spelt(b []byte) (s float64, n int) {
	parts, last := 0, byte(0)
	for n < len(b) {
		x, k := digits(b[n:])
		if k == 0 || k > 6 || n+k >= len(b) {
			break
		}
		var seconds float64
		switch c := lower(b[n+k]); {
		case c == 'h' && last == 0:
			seconds = 3600
		case c == 'm' && last != 'm' && last != 's':
			seconds = 60
		case c == 's' && last != 0 && last != 's':
			seconds = 1
		default:
			return 0, 0
		}
		s += float64(x) * seconds
		last = lower(b[n+k])
		n += k + 1
		parts++
	}
	if parts < 2 || n < len(b) && wordByte(b[n]) {
		return 0, 0
	}
	return s, n
}

// halfDay reads AM (0) or PM (1).
func halfDay(b []byte) (half, n int) {
	for n < len(b) && b[n] == ' ' {
		n++
	}
	if len(b) < n+2 || lower(b[n+1]) != 'm' {
		return 0, 0
	}
	switch lower(b[n]) {
	case 'a':
		return 0, n + 2
	case 'p':
		return 1, n + 2
	}
	return 0, 0
}

// dateAt reads a date at the start of b: three numbers with a mark between,
// eight digits (year first), or a month by name. It returns seconds since
// 1970 of that day's midnight and the length read, 0 where there is none or
// where no such day exists.
func dateAt(b []byte, form string) (s float64, n int) {
	var p [3]int
	var width [3]int
	named := -1
	i := 0
	for f := range p {
		if f > 0 {
			if i >= len(b) || !dateMark(b[i]) {
				break
			}
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
		}
		p[f], width[f] = x, k
		i += k
	}
	if width[0] == 8 && named < 0 && width[1] == 0 { // 20260314
		p, width = [3]int{p[0] / 10000, p[0] / 100 % 100, p[0] % 100}, [3]int{4, 2, 2}
	}
	if width[2] == 0 {
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

const monthNames = "janfebmaraprmayjunjulaugsepoctnovdec"

// monthAt reads a month by its English name, whole or its first three letters.
func monthAt(b []byte) (m, n int) {
	for n < len(b) && lower(b[n])-'a' < 26 {
		n++
	}
	if n < 3 {
		return 0, 0
	}
	for m = 0; m < 12; m++ {
		if foldEqual(b[:3], monthNames[3*m:3*m+3]) {
			return m + 1, n
		}
	}
	return 0, 0
}

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

// stampAt reads a date, a blank, T, comma or underscore, and a clock, with an
// offset from UTC if there is one; without, the time is taken as UTC.
func stampAt(b []byte, form string) (s float64, n int) {
	s, n = dateAt(b, form)
	if n == 0 || n >= len(b) {
		return 0, 0
	}
	i := n
	for i < len(b) && (b[i] == ' ' || b[i] == 'T' || b[i] == 't' || b[i] == ',' || b[i] == '_' || b[i] == ';') {
		i++
	}
	if i == n {
		return 0, 0
	}
	c, k := clockAt(b[i:], formHMS)
	if k == 0 {
		if c, k = compactClock(b[i:]); k == 0 {
			return 0, 0
		}
	}
	i += k
	off, k := zoneAt(b[i:])
	i += k
	if i < len(b) && (b[i] == '-' || b[i] == ':' || b[i] == 'T' || b[i]-'0' <= 9) {
		return 0, 0 // two stamps that were torn and joined
	}
	return s + c - off, i
}

// compactClock reads 214000 or 2140.
func compactClock(b []byte) (s float64, n int) {
	x, n := digits(b)
	switch n {
	case 4:
		x *= 100
	case 6:
	default:
		return 0, 0
	}
	return float64(x/10000*3600 + x/100%100*60 + x%100), n
}

// zoneAt reads Z, UTC, +02:00, +0200 or +02: seconds east of Greenwich.
func zoneAt(b []byte) (off float64, n int) {
	for n < len(b) && b[n] == ' ' {
		n++
	}
	if n >= len(b) {
		return 0, 0
	}
	switch c := b[n]; {
	case c == 'Z' || c == 'z':
		return 0, n + 1
	case len(b) >= n+3 && (foldEqual(b[n:n+3], "utc") || foldEqual(b[n:n+3], "gmt")):
		return 0, n + 3
	case c != '+' && c != '-' || n > 1:
		return 0, 0
	}
	h, k := digits(b[n+1:])
	end := n + 1 + k
	switch {
	case k == 4:
		h, k = h/100*60+h%100, 0
	case k == 2 && end < len(b) && b[end] == ':':
		m, k := digits(b[end+1:])
		if k != 2 {
			return 0, 0
		}
		h, end = h*60+m, end+3
	case k == 2:
		h *= 60
	default:
		return 0, 0
	}
	if b[n] == '-' {
		h = -h
	}
	return float64(h) * 60, end
}
