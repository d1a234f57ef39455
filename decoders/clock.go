package decoders

// The forms in which a time is written, as a setting names them. Numbers of
// seconds and the like have a unit instead.
const (
	formHMS    = "h:m:s" // 1:02:03.5, 21:40, 9:40 PM
	formMS     = "m:s"   // 62:03.5, minutes first
	formDots   = "h.m"   // 21.40, 21.40.05
	formDigits = "hms"   // 214005
	formHM     = "hm"    // 2140
	formDHMS   = "d:h:m:s"
	formYMD    = "y-m-d" // year first, any mark between; RFC 3339 is of this form
	formDMY    = "d-m-y"
	formMDY    = "m-d-y"
	formUnix   = "unix"
	formUnixMs = "unix-ms"
	formUnixUs = "unix-us"
	formUnixNs = "unix-ns"
	formSerial = "days-1900" // days and parts of days, as spreadsheets count them
)

var timeForms = []string{formHMS, formMS, formDots, formDigits, formHM, formDHMS, formYMD, formDMY, formMDY, formUnix, formUnixMs, formUnixUs, formUnixNs, formSerial}

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
	switch {
	case i == 0 || i > 6:
		return 0, 0
	case i < len(b) && b[i] == ':':
	case form == formHMS && speltLike(b[i:]):
		return spelt(b)
	default:
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
	minutes := true // are last
	if form != formMS && i < len(b) && b[i] == ':' {
		minutes = false
		sec, k := digits(b[i+1:])
		if k == 0 || k > 2 || sec > 60 {
			return 0, 0
		}
		i += 1 + k
		s += float64(sec)
		if i < len(b) && b[i] == ':' && !thousandths(b[i+1:]) {
			if _, days := dayClock(b); days > 0 {
				return 0, 0 // which this is not
			}
		}
	}
	if i == len(b) {
		return s, i
	}
	part, k := clockFraction(b[i:], minutes)
	s, i = s+part, i+k
	half, k := halfDay(b[i:])
	if k > 0 && h <= 12 {
		s += float64(half-h/12) * 43200
		i += k
	}
	return s, i
}

// clockFraction reads the decimals behind a clock. With a comma in front they may be the next
// number of the line: 13.82 V in 20:40:05,13.82, and 13820 mV in 12:05,13820, where minutes are last.
func clockFraction(b []byte, minutes bool) (part float64, n int) {
	if len(b) < 2 || b[0] != '.' && b[0] != ',' && !(b[0] == ':' && thousandths(b[1:])) {
		return 0, 0
	}
	x, k := digits(b[1:])
	n = 1 + k
	if k == 0 || b[0] == ',' && (n < len(b) && b[n] == '.' || k > 3 && minutes) {
		return 0, 0
	}
	for n < len(b) && b[n]-'0' <= 9 { // beyond ns
		n++
	}
	return float64(x) / pow10[k], n
}

// thousandths tells a fraction behind a colon, 20:40:05:123, by its three digits.
func thousandths(b []byte) bool {
	_, k := digits(b)
	return k == 3
}

// speltLike tells that the number before b may be part of a time that is spelt.
func speltLike(b []byte) bool {
	if b = behind(b[:min(len(b), 2)]); len(b) == 0 {
		return false
	}
	c := lower(b[0])
	return c == 'd' || c == 'h' || c == 'm'
}

// spelt reads 1h02m03s, 62min 03s, 1 h 2 min, 1d 2h, 21h40 or 1d 20:00:05: two parts at least, the
// larger first, and nothing of a word behind.
func spelt(b []byte) (s float64, n int) {
	parts, last := 0, byte(0)
	for at := 0; ; parts++ {
		switch last {
		case 'd':
			if c, k := clockAt(b[at:], formHMS); k > 0 {
				return s + c, at + k
			}
		case 'h':
			if x, k := digits(b[at:]); k == 2 && x < 60 && at == n && (at+2 == len(b) || !wordByte(b[at+2]) && b[at+2] != '.') {
				return s + float64(x)*60, at + 2 // 21h40
			}
		}
		part, unit, k := speltPart(b[at:])
		if k == 0 || last != 0 && spelled[unit] >= spelled[last] {
			break
		}
		s, last, n = s+part, unit, at+k
		for at = n; at < len(b) && at < n+2 && (b[at] == ' ' || b[at] == ','); at++ {
		}
	}
	if parts < 2 || n < len(b) && wordByte(b[n]) {
		return 0, 0
	}
	return s, n
}

// speltPart reads a number and its unit, 1h, 62min, 1 day: seconds, the letter, and the length read.
func speltPart(b []byte) (s float64, unit byte, n int) {
	x, n := digits(b)
	if n == 0 || n > 6 || n == len(b) {
		return 0, 0, 0
	}
	if b[n] == ' ' && n+1 < len(b) && letter(b[n+1]) {
		n++
	}
	unit = lower(b[n])
	each, known := spelled[unit]
	if !known {
		return 0, 0, 0
	}
	switch n++; unit {
	case 'd':
		n += dayWord(b[n:])
	case 'm':
		n += minuteWord(b[n:])
	}
	if n < len(b) && letter(b[n]) {
		return 0, 0, 0
	}
	return float64(x) * each, unit, n
}

// spelled are the letters behind the parts of a time, in s.
var spelled = map[byte]float64{'d': day, 'h': 3600, 'm': 60, 's': 1}

// dayWord is the length of what is left of "days" behind its first letter.
func dayWord(b []byte) int {
	for _, rest := range []string{"ays", "ay"} {
		if len(b) >= len(rest) && foldEqual(b[:len(rest)], rest) {
			return len(rest)
		}
	}
	return 0
}

// minuteWord is the length of what is left of "min" behind its first letter.
func minuteWord(b []byte) int {
	if len(b) >= 2 && foldEqual(b[:2], "in") {
		return 2
	}
	return 0
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
