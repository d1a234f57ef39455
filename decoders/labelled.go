package decoders

import (
	"bytes"
	"errors"
	"strconv"
	"strings"
)

// Labelled: each value has a name, a unit or both; other words may stand
// between.
//
//	V=13.82V I=3500mA
//	Battery voltage: 13.82 V, charging current 3.50 A at 24 C
//	[21:40:05] 13.82V 3.50A
//
// A value without a label is known by its unit, "#V", whatever its prefix; one
// without either by its place among its like, "#1"; the first time of a line, whose label
// may change from line to line, as "#time". Upper and lower case are alike,
// but for a label behind an equals sign, "=T". A line in which a label comes again with
// another value is torn, unless the key says which of them is meant: "a@2" is the second.
// Written from the trade's habits; not yet seen on hardware.
var labelledEntry = Entry{
	Name:   "labelled",
	About:  "values with a name or unit beside each, V=13.82V I=3500mA",
	New:    newLabelled,
	survey: surveyLabelled,
}

type labelled struct {
	layout *Layout
	wanted []wanted // a field each
}

// wanted is a field's key, taken apart.
type wanted struct {
	field *Field
	key   string
	nth   int // of a line's values that go by it, from 1; 0 where there is one
	came  int // in the line so far
}

func newLabelled(l *Layout) (Decoder, error) {
	if len(l.Fields) == 0 {
		return nil, errors.New("labelled values need a field such as voltage=V:V")
	}
	d := &labelled{layout: l}
	for i := range l.Fields {
		f := &l.Fields[i]
		key, nth := cutNth(f.Key)
		d.wanted = append(d.wanted, wanted{field: f, key: key, nth: nth})
	}
	return d, nil
}

// nthKey is the key of the n-th of a line's values that go by one key, cutNth takes it apart.
func nthKey(key string, n int) string { return key + "@" + strconv.Itoa(n) }

func cutNth(key string) (string, int) {
	at := strings.LastIndexByte(key, '@')
	n, err := strconv.Atoi(key[at+1:])
	if at < 1 || err != nil || n < 1 {
		return key, 0
	}
	return key[:at], n
}

// take tells whether the value that the scanner is at is the wanted one, or else whether it
// comes again that should come once.
func (w *wanted) take(s *scanner) (is, again bool) {
	if !s.called(w.key) || w.nth > 0 && w.key[0] != '#' && w.key[0] != '=' && len(s.label) != len(w.key) {
		return false, false // of several only those count whose whole label is the key
	}
	w.came++
	return w.came == max(w.nth, 1), w.nth == 0 && w.came > 1
}

func (d *labelled) begin() {
	for i := range d.wanted {
		d.wanted[i].came = 0
	}
}

// Decode reads the values whose labels are wanted.
func (d *labelled) Decode(line []byte, r *Reading) error {
	*r = blank
	if isJSON(line) {
		return ErrNotMine
	}
	var err error
	found := 0
	d.begin()
	s := scanner{line: line, decimal: d.layout.Decimal}
	for s.next() {
		for i := range d.wanted {
			w := &d.wanted[i]
			is, again := w.take(&s)
			switch f := w.field; {
			case is || again && r[f.Quantity] != r[f.Quantity]:
				f.put(s.value, d.layout.Decimal, r, &err)
				found++
			case again:
				if before := s.before(w.key); before != nil && !bytes.Equal(before, s.value) {
					err = ErrTorn // two lines were joined: no count of values tells so
				}
			}
		}
	}
	if found == 0 {
		return ErrNotMine
	}
	return err
}

// isJSON tells an object of JSON: its labels are paths.
func isJSON(line []byte) bool { return bytes.HasPrefix(bytes.TrimLeft(line, " "), []byte(`{"`)) }
func (d *labelled) trace(line []byte, found []value) ([]value, bool) {
	d.begin()
	s := scanner{line: line, decimal: d.layout.Decimal}
	for s.next() {
		if mayBeTime(s.value) || mayBeTime(line[within(line, s.value):]) {
			return nil, false // with other digits it might be one, or none
		}
		found = append(found, value{nil, s.value})
		for i := range d.wanted {
			w := &d.wanted[i]
			is, again := w.take(&s)
			if again && s.before(w.key) != nil {
				return nil, false // with other digits the two might differ
			}
			if is || again {
				found = append(found, value{w.field, s.value})
			}
		}
	}
	return found, true
}

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
	for i := s.pos; i < len(s.line); i++ {
		at, end := i, 0
		c := s.line[i]
		if c == '{' && i > begin && wordByte(s.line[i-1]) {
			i += braces(s.line[i:])
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
	if at == end || stop < len(s.line) && s.line[stop] != '=' && s.line[stop] != ':' || stop == len(s.line) {
		if u := unitNamed(s.line[at:stop], none); u != nil && !s.startsLabel(stop, at == end) {
			s.unit = s.line[at:stop]
			return stop
		}
	}
	return end
}

// unitsBehind tells a line that ends in a unit and does not begin with one.
func unitsBehind(line []byte) bool {
	line = bytes.Trim(line, " \t,;")
	first, last := 0, len(line)
	for first < len(line) && wordByte(line[first]) {
		first++
	}
	for last > 0 && wordByte(line[last-1]) && line[last-1]-'0' > 9 {
		last--
	}
	return unitNamed(line[last:], none) != nil && unitNamed(line[:first], none) == nil
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
	line := bytes.Trim(s.line, " \t")
	if line[len(line)-1]-'0' <= 9 { // ends in a number without a unit, so names stand before
		return namesFirst(line)
	}
	first := bytes.IndexByte(line, ' ')
	return first > 0 && unitNamed(line[:first], none) != nil
}

// namesFirst tells whether a line, but for a time or a number before them, begins with
// a name: "V 13.82", "17 time 3", not "13.82 V".
func namesFirst(line []byte) bool {
	line = bytes.TrimLeft(line[timeLength(line):], " ")
	_, n := number(line, '.')
	if n == 0 {
		return true
	}
	word := bytes.TrimLeft(line[n:], " ")
	end := 0
	for end < len(word) && wordByte(word[end]) {
		end++
	}
	return n < len(line) && line[n] == ' ' && end > 0 && word[0]-'0' > 9 && unitNamed(word[:end], none) == nil
}

// take cuts label and value out.
func (s *scanner) take(begin, i, end int) {
	s.label = bytes.Trim(plainLabel(s.line[begin:i]), " \t=:,;|()[]<>{}\"'*#$@/+-\x02\x03\x04")
	s.value = s.line[i:end]
	s.pos = end
	if len(s.label) == 0 && s.unit == nil {
		s.place = min(s.bares, 8)
		s.bares++
	}
}

// braces is where braces end that say more of the name before them, name{id="1"}; 0 for
// others.
func braces(b []byte) int {
	end := bytes.IndexByte(b, '}')
	if end < 0 || !bytes.Contains(b[:end], []byte(`="`)) {
		return 0
	}
	return end
}

// plainLabel leaves out what is no name of the value: what stands in braces behind a name
// that has them, name{id="1"}, and the tags before the last one, </a><name>.
func plainLabel(label []byte) []byte {
	if at := bytes.IndexByte(label, '{'); at > 0 && braces(label[at:]) > 0 {
		label = label[:at]
	}
	if at := bytes.LastIndexByte(label, '<'); at > 0 && bytes.IndexByte(label[at:], '>') > 0 {
		label = label[at:]
	}
	return label
}

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
	c := lower(b[0])
	return (c == 'h' || c == 'm' || c == 'd') && (b[1]-'0' <= 9 || b[1] == ' ' && len(b) > 2 && b[2]-'0' <= 9)
}

// mayBeDate tells whether a date may go on so after its first mark: with the name
// of a month, or with one or two digits, another mark and the third part.
func mayBeDate(b []byte) bool {
	if _, month := monthAt(b); month > 0 {
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

func wordByte(c byte) bool {
	return c-'0' <= 9 || lower(c)-'a' < 26 || c == '_' || c >= 0x80 || c == '%'
}
