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
