package decoders

import (
	"bytes"
	"errors"
)

// JSON lines: one object a line; values are found by their path, nested ones
// as battery.volts and cells.0.
//
//	{"ts":"2026-03-14T21:40:00Z","battery":{"volts":13.82,"amps":3.5}}
//
// RFC 8259 for the text; not yet seen on hardware.
var jsonEntry = Entry{
	Name:   "json",
	About:  "one JSON object a line, nested or not",
	New:    newJSON,
	survey: surveyJSON,
}

type jsonLines struct {
	layout *Layout
	walk   jsonWalk
	found  []jsonValue // a field each
}

// jsonValue is what a line has of a field.
type jsonValue struct {
	cell   []byte   // nil for nothing
	field  *Field   // ranged where the line tells another unit
	units  []string // where it would stand
	ranged Field
}

func newJSON(l *Layout) (Decoder, error) {
	if len(l.Fields) == 0 {
		return nil, errors.New("json needs a field such as voltage=battery.volts:V")
	}
	d := &jsonLines{layout: l, walk: jsonWalk{path: make([]byte, 0, 256)}, found: make([]jsonValue, len(l.Fields))}
	for i, f := range l.Fields {
		if f.Quantity == Volts || f.Quantity == Amps {
			d.found[i].units = unitPaths(f.Key)
		}
	}
	return d, nil
}

// Decode reads the values whose paths are wanted.
func (d *jsonLines) Decode(line []byte, r *Reading) error {
	*r = blank
	var err error
	found := d.look(line)
	for i := range d.found {
		if v := &d.found[i]; v.cell != nil {
			v.field.put(v.cell, '.', r, &err)
		}
	}
	switch {
	case d.walk.torn && found > 0:
		return ErrTorn
	case d.walk.torn || found == 0:
		return ErrNotMine
	}
	return err
}

// look finds the values whose paths are wanted and their units, and counts the values.
func (d *jsonLines) look(line []byte) (found int) {
	for i := range d.found {
		d.found[i].cell, d.found[i].field = nil, &d.layout.Fields[i]
	}
	w := &d.walk
	w.start(line)
	for w.next() {
		mayBeUnit := endsLikeUnit(w.path)
		for i := range d.found {
			v, f := &d.found[i], &d.layout.Fields[i]
			if string(w.path) == f.Key {
				v.cell = w.value
				found++
			} else if mayBeUnit {
				v.rangedBy(w, f)
			}
		}
	}
	return found
}

// isJSON tells an object of JSON, whose labels are paths.
func isJSON(line []byte) bool { return bytes.HasPrefix(bytes.TrimLeft(line, " "), []byte(`{"`)) }

func (d *jsonLines) trace(line []byte, found []value) ([]value, bool) {
	d.look(line)
	w := &d.walk
	w.start(line)
	found = append(found, value{nil, line[:w.pos]}) // a stamp or prompt, say
	for w.next() {
		found = append(found, value{nil, w.value})
		for i := range d.layout.Fields {
			if string(w.path) == d.layout.Fields[i].Key {
				found = append(found, value{d.found[i].field, w.value})
			}
		}
	}
	return found, true
}

// maxDepth bounds the nesting that a line may have.
const maxDepth = 16

// jsonWalk goes through the values of one object without building anything.
type jsonWalk struct {
	line  []byte
	pos   int
	path  []byte // of the value
	value []byte // its text, a string without its quotes
	torn  bool   // the text ends early or is no JSON

	depth int
	marks [maxDepth]int // length of the path at each level
	index [maxDepth]int // element of an array, -1 within an object
}

func (w *jsonWalk) start(line []byte) {
	*w = jsonWalk{line: line, path: w.path[:0]}
	w.blanks()
	if end := bytes.TrimRight(line, " \t\r,"); w.peek() == '[' && end[len(end)-1] == ']' {
		w.open(0)
		return
	}
	for w.peek() != '{' && w.pos < len(line) { // a stamp or prompt may stand before
		w.pos++
	}
	w.torn = w.peek() != '{'
	if !w.torn {
		w.open(-1)
	}
}

func (w *jsonWalk) peek() byte {
	if w.pos < len(w.line) {
		return w.line[w.pos]
	}
	return 0
}

func (w *jsonWalk) blanks() {
	for w.pos < len(w.line) && (w.line[w.pos] == ' ' || w.line[w.pos] == '\t') {
		w.pos++
	}
}

func (w *jsonWalk) open(index int) {
	if w.depth == maxDepth {
		w.torn = true
		return
	}
	w.marks[w.depth], w.index[w.depth] = len(w.path), index
	w.depth++
	w.pos++
}

// next moves to the next scalar value; false at the end, or where torn.
func (w *jsonWalk) next() bool {
	for !w.torn && w.depth > 0 {
		w.path = w.path[:w.marks[w.depth-1]]
		w.blanks()
		switch c := w.peek(); {
		case c == ',':
			w.pos++
			continue
		case c == '}' || c == ']':
			w.pos++
			w.depth--
			continue
		case w.index[w.depth-1] >= 0:
			w.element()
		default:
			w.key()
		}
		if w.torn {
			return false
		}
		w.blanks()
		switch w.peek() {
		case '{':
			w.open(-1)
		case '[':
			w.open(0)
		default:
			w.scalar()
			return !w.torn
		}
	}
	return false
}

// element appends an array's index to the path.
func (w *jsonWalk) element() {
	n := w.index[w.depth-1]
	w.index[w.depth-1]++
	w.dot()
	if n >= 10 {
		w.path = append(w.path, byte('0'+n/10%10))
	}
	w.path = append(w.path, byte('0'+n%10))
}

// key appends a member's name to the path and stops after the colon.
func (w *jsonWalk) key() {
	if w.peek() != '"' {
		w.torn = true
		return
	}
	text := w.text()
	w.blanks()
	if w.torn || w.peek() != ':' || len(w.path)+len(text)+1 > cap(w.path) {
		w.torn = true
		return
	}
	w.pos++
	w.dot()
	w.path = append(w.path, text...)
}

func (w *jsonWalk) dot() {
	if len(w.path) > 0 {
		w.path = append(w.path, '.')
	}
}

// text reads a string. Escapes stay as they are: names and numbers have none.
func (w *jsonWalk) text() []byte {
	begin := w.pos + 1
	for i := begin; i < len(w.line); i++ {
		switch w.line[i] {
		case '\\':
			i++
		case '"':
			w.pos = i + 1
			return w.line[begin:i]
		}
	}
	w.torn = true
	return nil
}

func (w *jsonWalk) scalar() {
	if w.peek() == '"' {
		w.value = w.text()
		return
	}
	begin := w.pos
	for w.pos < len(w.line) && w.line[w.pos] != ',' && w.line[w.pos] != '}' && w.line[w.pos] != ']' && w.line[w.pos] != ' ' {
		w.pos++
	}
	w.value = w.line[begin:w.pos]
	w.torn = w.pos == begin || w.pos == len(w.line) // an object ends with a brace
}
