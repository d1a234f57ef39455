package decoders

import "slices"

// Months by name, and stamps that begin with one or have the year behind the clock.
//
//	14 Mar 2026 20:40:05   14. März 2026 20:40:05   Mar 14 20:40:05
//	Sat Mar 14 20:40:05 2026   Sat 14 Mar 20:40:05 UTC 2026

const (
	monthNames = "janfebmaraprmayjunjulaugsepoctnovdec"
	weekdays   = "sunmontuewedthufrisat"
)

// monthsElsewhere are how names of months begin in other languages of Europe, in UTF-8 or
// Latin-1, where that is no English month and no word that may stand behind a number.
var monthsElsewhere = []struct {
	begins string
	month  int
}{
	{"jän", 1}, {"j\xe4n", 1}, {"fév", 2}, {"f\xe9v", 2}, {"fev", 2}, {"mär", 3}, {"m\xe4r", 3}, {"mrz", 3}, {"mrt", 3},
	{"avr", 4}, {"abr", 4}, {"mai", 5}, {"mei", 5}, {"juin", 6}, {"giu", 6}, {"juil", 7}, {"lug", 7}, {"aoû", 8}, {"ao\xfb", 8},
	{"okt", 10}, {"ott", 10}, {"dez", 12}, {"déc", 12}, {"d\xe9c", 12},
}

// monthAt reads a month by its name, whole or its first letters.
func monthAt(b []byte) (m, n int) {
	for n < len(b) && (lower(b[n])-'a' < 26 || b[n] >= 0x80) {
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
	for k := range monthsElsewhere {
		if begins := monthsElsewhere[k].begins; n >= len(begins) && foldEqual(b[:len(begins)], begins) {
			return monthsElsewhere[k].month, n
		}
	}
	return 0, 0
}

// yearLast reads a stamp whose year stands behind the clock; what else stands between them
// is the name of a zone.
func yearLast(b []byte) (s float64, n int) {
	m, d, n := monthAndDay(b)
	if n == 0 {
		return 0, 0
	}
	clock, k := clockAt(b[n:], formHMS)
	if k == 0 {
		return 0, 0
	}
	n += k
	off, k := zoneAt(b[n:])
	n = afterBlanks(b, n+k)
	for k == 0 && n < len(b) && b[n]-'A' < 26 {
		n++
	}
	n = afterBlanks(b, n)
	y, k := digits(b[n:])
	if k != 4 || b[n-1] != ' ' || y < 1970 || y > 2200 || d > monthDays(y, m) {
		return 0, 0
	}
	return float64(daysFrom1970(y, m, d))*day + clock - off, n + k
}

// monthAndDay reads Mar 14 or 14 Mar, and the blanks behind.
func monthAndDay(b []byte) (m, d, n int) {
	if m, n = monthAt(b); n > 0 {
		n = afterBlanks(b, n)
		d, k := digits(b[n:])
		if k == 0 || k > 2 {
			return 0, 0, 0
		}
		return goodDay(m, d, b, n+k)
	}
	d, k := digits(b)
	if k == 0 || k > 2 {
		return 0, 0, 0
	}
	at := afterBlanks(b, k)
	if m, n = monthAt(b[at:]); n == 0 || at == k {
		return 0, 0, 0
	}
	return goodDay(m, d, b, at+n)
}

// goodDay refuses days that no month has.
func goodDay(m, d int, b []byte, n int) (int, int, int) {
	after := afterBlanks(b, n)
	if d < 1 || d > 31 || after == n {
		return 0, 0, 0
	}
	return m, d, after
}

func afterBlanks(b []byte, i int) int {
	for i < len(b) && b[i] == ' ' {
		i++
	}
	return i
}

// wordedTime is where a time that begins with an English name stands, if the line begins
// with it; end is 0 for none.
func wordedTime(line []byte) (at, end int) {
	for at < len(line) && (line[at] == ' ' || line[at] == '[' || line[at] == '(' || line[at] == '<') {
		at++
	}
	b := line[at:]
	if len(b) < len("Mar 14 20:40") || lower(b[0])-'a' >= 26 || !slices.Contains(namesInTimes[:], threeLetters(b)) {
		return at, 0
	}
	if _, n := stampAt(b, formDMY); n > 0 {
		return at, at + n
	}
	if _, _, n := monthAndDay(b); n > 0 {
		if _, k := clockAt(b[n:], formHMS); k > 0 {
			return at, at + n + k
		}
	}
	return at, 0
}

// namesInTimes are how the English months and days of the week begin.
var namesInTimes = func() (keys [len(monthNames+weekdays) / 3]uint32) {
	for k := range keys {
		keys[k] = threeLetters([]byte((monthNames + weekdays)[3*k:]))
	}
	return keys
}()

func threeLetters(b []byte) uint32 {
	return uint32(lower(b[0]))<<16 | uint32(lower(b[1]))<<8 | uint32(lower(b[2]))
}
