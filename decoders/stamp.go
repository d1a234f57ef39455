package decoders

// stampAt reads a date, a blank, T, comma or underscore, and a clock, with an
// offset from UTC if there is one; without, the time is taken as UTC.
func stampAt(b []byte, form string) (s float64, n int) {
	if skip := weekdayAt(b); skip > 0 {
		if s, n = stampAt(b[skip:], form); n > 0 {
			n += skip
		}
		return s, n
	}
	if compactStamp(b) {
		s, n = dateAt(b[:8], formYMD)
		c, _ := compactClock(b[8:14])
		return s + c, n + 6
	}
	s, n = dateAt(b, form)
	if n == 0 {
		return yearLast(b)
	}
	if n >= len(b) {
		return 0, 0
	}
	i := n
	for i < len(b) && (b[i] == ' ' || b[i] == 'T' || b[i] == 't' || b[i] == ',' || b[i] == '_' || b[i] == ';' || b[i] == ':' && i == n) {
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
	if i < len(b) && (b[i] == '-' || b[i] == ':' && (i+1 == len(b) || b[i+1] != ' ') || b[i] == 'T' || b[i]-'0' <= 9) {
		return 0, 0 // two stamps that were torn and joined
	}
	return s + c - off, i
}

// weekdayAt is the length of a day of the week before a date, "Sat, 14 Mar 2026".
func weekdayAt(b []byte) (n int) {
	for n < len(b) && lower(b[n])-'a' < 26 {
		n++
	}
	if n < 3 || n > 3 && !foldEqual(b[n-3:n], "day") {
		return 0
	}
	known := false
	for k := 0; k < len(weekdays); k += 3 {
		known = known || foldEqual(b[:3], weekdays[k:k+3])
	}
	if !known {
		return 0
	}
	for n < len(b) && (b[n] == ' ' || b[n] == ',' || b[n] == '.') {
		n++
	}
	return n
}

// compactStamp tells fourteen digits, year first, 20260314204005.
func compactStamp(b []byte) bool {
	const length = 14
	if len(b) < length || b[0] != '2' && b[0] != '1' || len(b) > length && b[length]-'0' <= 9 {
		return false
	}
	for _, c := range b[:length] {
		if c-'0' > 9 {
			return false
		}
	}
	s, _ := dateAt(b[:8], formYMD)
	return s > 0 && b[8] <= '2' && b[10] <= '5' && b[12] <= '6'
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
