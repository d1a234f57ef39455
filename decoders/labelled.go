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
// another value is torn, unless the key says which of them is meant: "a@2" is the second;
// so is one in which a number goes on with a letter and digits.
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
			case (is || again) && s.runsOn():
				err = ErrTorn
				found++
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

// placed tells whether voltage or current is known by its place alone, or by its place among
// several of the same unit.
func (l *Layout) placed() bool {
	for _, f := range l.Fields {
		if (f.Quantity == Volts || f.Quantity == Amps) && f.Key[0] == '#' && (len(f.Key) == 2 && f.Key[1]-'0' <= 9 || strings.IndexByte(f.Key, '@') > 0) {
			return true
		}
	}
	return false
}
