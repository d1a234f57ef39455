package decoders

import "bytes"

// timeLength is the length of a clock, date or stamp at the start of b.
func timeLength(b []byte) int {
	if !mayBeTime(b) {
		return 0
	}
	if _, n := stampAt(b, formDMY); n > 0 {
		return n
	}
	if _, n := stampAt(b, formMDY); n > 0 {
		return n
	}
	if _, n := clockAt(b, formHMS); n > 0 {
		return n
	}
	if _, n := dayClock(b); n > 0 {
		return n
	}
	if len(b) < 8 || b[2]-'0' <= 9 && b[4]-'0' <= 9 {
		return 0
	}
	for _, form := range [...]string{formDMY, formMDY} {
		if _, n := dateAt(b, form); n >= 8 {
			return n
		}
	}
	return 0
}

// mayBeTime tells whether b begins like a time, whatever its digits are.
func mayBeTime(b []byte) bool {
	_, k := digits(b)
	switch {
	case k == 0 || k >= len(b)-1:
		return false
	case b[k] == ':', k == 8 && lower(b[k]) == 't', lettered(b[k:]):
		return true
	}
	return k <= 4 && dateMark(b[k]) && mayBeDate(b[k+1:])
}

// lettered tells that a time may be spelt: a letter behind the number, and the next one.
func lettered(b []byte) bool {
	if b[0] == ' ' {
		b = b[1:]
	}
	c := lower(b[0])
	if c == 'm' {
		b = b[minuteWord(b[1:]):]
	}
	if len(b) < 2 {
		return false
	}
	return (c == 'h' || c == 'm' || c == 'd') && (b[1]-'0' <= 9 || b[1] == ' ' && len(b) > 2 && b[2]-'0' <= 9)
}

// mayBeDate tells whether a date may go on so after its first mark: with the name
// of a month, or with one or two digits, another mark and the third part.
func mayBeDate(b []byte) bool {
	if _, month := monthAt(bytes.TrimLeft(b, " ")); month > 0 {
		return true
	}
	_, k := digits(b)
	if k == 0 || k > 2 || k >= len(b) || !dateMark(b[k]) {
		return false
	}
	rest := bytes.TrimLeft(b[k:], "-/., ")
	if _, month := monthAt(rest); month > 0 {
		return true
	}
	return len(rest) > 0 && rest[0]-'0' <= 9
}
