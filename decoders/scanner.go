package decoders

import "bytes"

// firstTime is the key of the first time in a line.
const firstTime = "#time"

// scanner finds the values in a line, one after the other.
type scanner struct {
	line    []byte
	decimal byte
	label   []byte // the words before the value, "" if there are none
	value   []byte // number, with its unit if it has one; a time; a word after = or :
	unit    []byte // the unit alone
	times   int    // how many times there were
	isTime  bool   // the value is one
	place   int    // among the values without label and unit, from 0
	bares   int    // how many of those there were
	pos     int
}

// called tells whether the value goes by key: the label or its last words, or
// its place.
func (s *scanner) called(key string) bool {
	if len(key) >= 2 && key[0] == '#' {
		if key == firstTime {
			return s.isTime && s.times == 1
		}
		return len(s.label) == 0 && s.bare() == key[1:]
	}
	if len(key) >= 2 && key[0] == '=' {
		k := len(s.label) - len(key) + 1
		return k >= 0 && string(s.label[k:]) == key[1:] && (k == 0 || !wordByte(s.label[k-1]))
	}
	if len(key) >= 2 && key[0] == '~' {
		return s.unit != nil && s.bare() == key[1:]
	}
	k := len(s.label) - len(key)
	return k >= 0 && len(key) > 0 && foldEqual(s.label[k:], key) && (k == 0 || !wordByte(s.label[k-1]))
}

// before is what stands where the label of the value, which goes by key, came before in the
// line; nil where it did not.
func (s *scanner) before(key string) []byte {
	first := scanner{line: s.line, decimal: s.decimal}
	for first.next() && !first.called(key) {
	}
	if first.pos == s.pos || !bytes.Equal(first.label, s.label) {
		return nil
	}
	return first.value
}

// bare names a value without a label: the base unit of its unit, or its place.
func (s *scanner) bare() string {
	if u := unitNamed(s.unit, none); u != nil {
		return base(u.of).name
	}
	return "123456789"[s.place:][:1]
}

// next finds the next value; false at the end of the line.
func (s *scanner) next() bool {
	begin := s.pos
	s.unit, s.isTime = nil, false
	if begin == 0 {
		if at, end := wordedTime(s.line); end > 0 {
			s.isTime = true
			s.times++
			s.take(begin, at, end)
			return true
		}
	}
	for i := s.pos; i < len(s.line); i++ {
		at, end := i, 0
		c := s.line[i]
		if c == '{' && i > begin && wordByte(s.line[i-1]) {
			i += braces(s.line[i:])
			continue
		}
		if c == '[' && i > begin && wordByte(s.line[i-1]) {
			i += subscript(s.line[i:])
			continue
		}
		if c == '=' || c == ':' {
			at, end = s.wordValue(i + 1)
		} else if s.numberStarts(i, begin) {
			end = s.numberEnd(i)
		}
		if end > 0 {
			s.take(begin, at, end)
			return true
		}
	}
	return false
}

// wordValue finds a word for "blank" or "overload" after = or :, end being 0
// where none follows.
func (s *scanner) wordValue(i int) (at, end int) {
	for i < len(s.line) && s.line[i] == ' ' {
		i++
	}
	end = i
	for end < len(s.line) && s.line[end] != ' ' && s.line[end] != ',' && s.line[end] != ';' && s.line[end] != '\t' {
		end++
	}
	if end > i && s.line[i]-'0' > 9 && word(s.line[i:end]) != ErrNumber {
		return i, end
	}
	return i, 0
}

// numberStarts tells whether a number begins at i: not within a word, unless
// the word ends in digits with a decimal mark ("V13.82") .
func (s *scanner) numberStarts(i, begin int) bool {
	c := s.line[i]
	if c-'0' > 9 {
		if c != '-' && c != '+' && c != '.' || i+1 >= len(s.line) {
			return false
		}
		if next := s.line[i+1]; next-'0' > 9 && next != '.' {
			return false
		}
		return i == begin || !wordByte(s.line[i-1])
	}
	if i == begin || !wordByte(s.line[i-1]) {
		return true
	}
	if s.line[i-1]-'0' <= 9 || s.line[i-1] == '_' {
		return false
	}
	_, n := digits(s.line[i:])
	return i+n+1 < len(s.line) && s.line[i+n] == s.decimal && s.line[i+n+1]-'0' <= 9
}

// numberEnd is the end of a time or of a number with its unit.
func (s *scanner) numberEnd(i int) int {
	b := s.line[i:]
	if n := timeLength(b); n > 0 {
		s.isTime = true
		s.times++
		return i + n
	}
	_, n := number(b, s.decimal)
	if n == 0 {
		return 0
	}
	if n == 1 && len(b) > 2 && b[0] == '0' && b[1]|0x20 == 'x' && nibble(b[2]) < 16 {
		return i + 2 + len(firstWord(b[2:])) // hexadecimal, and no nought
	}
	end := i + n
	at := end
	apart := at < len(s.line) && (s.line[at] == ',' || s.line[at] == ';' || s.line[at] == '\t')
	if apart && unitsBehind(s.line) {
		at++ // the unit may be the next cell
	}
	for at < len(s.line) && s.line[at] == ' ' && at < end+2 {
		at++
	}
	stop := at
	for stop < len(s.line) && (wordByte(s.line[stop]) || s.line[stop] == '\'') && s.line[stop]-'0' > 9 {
		stop++
	}
	if at == end || !s.namesNext(at, stop) {
		if u := unitNamed(s.line[at:stop], none); u != nil && !s.startsLabel(stop, at == end) {
			s.unit = s.line[at:stop]
			return stop
		}
		if at == end && prefixAt(s.line[at:stop]) != 0 && (stop == len(s.line) || s.line[stop]-'0' > 9) {
			return stop // 350m, not 350
		}
	}
	return end
}

// namesNext tells that the word behind a blank, from at to stop, is the label of the next
// value rather than a unit: an equals sign, a colon or a digit follows. Behind a colon may
// also come a value of another quantity, which needs no such label: "5 min: 13.82 V".
func (s *scanner) namesNext(at, stop int) bool {
	if stop == len(s.line) {
		return false
	}
	switch c := s.line[stop]; {
	case c == ':':
		u := unitNamed(s.line[at:stop], none)
		rest := bytes.TrimLeft(s.line[stop+1:], " ")
		_, n := number(rest, s.decimal)
		rest = bytes.TrimLeft(rest[n:], " ")
		word := firstWord(rest)
		other := unitNamed(word, none)
		if other != nil && len(word) < len(rest) && (rest[len(word)] == ':' || rest[len(word)] == '=') {
			return true // that is a label as well: "V: 13.82 A: 3.50 C: 24"
		}
		return u == nil || n == 0 || other == nil || other.of == u.of
	default:
		return c == '=' || c-'0' <= 9
	}
}

// unitsBehind tells a line that ends in a unit and does not begin with one.
func unitsBehind(line []byte) bool {
	line = bytes.Trim(line, " \t,;")
	last := len(line)
	for last > 0 && letter(line[last-1]) {
		last--
	}
	return unitNamed(line[last:], none) != nil && unitNamed(firstWord(line), none) == nil
}

// startsLabel tells whether a unit's letter after a blank, or between two numbers, which
// ends before stop, is rather the label of the next value: "V 13.82 A 3.50", "V13.82A3.50".
func (s *scanner) startsLabel(stop int, glued bool) bool {
	i := stop
	for i < len(s.line) && s.line[i] == ' ' {
		i++
	}
	if (i == stop) != glued || i == len(s.line) || s.line[i]-'0' > 9 && s.line[i] != '-' && s.line[i] != '+' {
		return false
	}
	line := beforeTime(bytes.Trim(s.line, " \t"))
	if len(line) > 0 && line[len(line)-1]-'0' <= 9 { // ends in a number without a unit, so names stand before
		return namesFirst(line)
	}
	first := bytes.IndexByte(line, ' ')
	return first > 0 && unitNamed(line[:first], none) != nil
}

// beforeTime is a line without the time that it ends in: that is no value of a name before it.
func beforeTime(line []byte) []byte {
	at := bytes.LastIndexByte(line, ' ')
	if at < 0 || timeLength(line[at+1:]) != len(line)-at-1 {
		return line
	}
	return bytes.TrimRight(line[:at], " ")
}

// namesFirst tells whether a line, but for a time or a number before them, begins with
// a name: "V 13.82", "17 time 3", not "13.82 V".
func namesFirst(line []byte) bool {
	line = bytes.TrimLeft(line[timeLength(line):], " ")
	_, n := number(line, '.')
	if n == 0 {
		return true
	}
	word := firstWord(bytes.TrimLeft(line[n:], " "))
	return len(word) > 0 && line[n] == ' ' && letter(word[0]) && unitNamed(word, none) == nil
}

// runsOn tells that the value, a number without a unit, goes on with a letter and a digit that is no
// value of its own, 4.r19: a byte of it was changed.
func (s *scanner) runsOn() bool {
	if s.unit != nil || s.isTime {
		return false
	}
	i := s.pos
	for i < len(s.line) && letter(s.line[i]) {
		i++
	}
	if i == s.pos || i == len(s.line) {
		return false
	}
	_, n := number(s.line[i:], s.decimal)
	return n > 0 && !s.numberStarts(i, s.pos)
}

// take cuts label and value out.
func (s *scanner) take(begin, i, end int) {
	s.label = bytes.Trim(plainLabel(s.line[begin:i]), " \t=:,;|()[]<>{}\"'*#$@/+-.\x02\x03\x04")
	if n := len(s.label); n > 2 && s.line[within(s.line, s.label)+n] == ']' {
		if at := bytes.LastIndexByte(s.label, '['); at > 0 && subscript(s.line[within(s.line, s.label)+at:]) > 0 {
			s.label = s.label[:at] // BATT of BATT[0]
		}
	}
	s.value = s.line[i:end]
	s.pos = end
	if len(s.label) == 0 && s.unit == nil {
		s.place = min(s.bares, 8)
		s.bares++
	}
}
