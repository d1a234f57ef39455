package decoders

import (
	"bytes"
	"errors"
	"strings"
)

// Answers: what a meter that is asked by text answered, behind each question, as
// capture wrote it down.
//
//	MEAS:VOLT:DC?="+1.26500000E+01" MEAS:CURR:DC?="+3.500E+00"
//	READ?="+1.265E+01,+3.500E+00"
//
// A field goes by its question; READ?#2 is the second of several values in one
// answer. Numbers have any of the forms of IEEE 488.2: NR1 to NR3, and #H, #Q and
// #B for other bases. A header before the number is passed over. 9.91E37 says
// "not a number" and is blank, 9.9E37 is overload (SCPI 1999, volume 1, 7.2.1).
var answersEntry = Entry{
	Name:  "answers",
	About: `answers of a meter that is asked, MEAS:VOLT?="+1.265E+01"`,
	New:   newAnswers,
}

type answers struct {
	layout *Layout
	places []answerPlace // of the fields
}

// answerPlace is where a field stands.
type answerPlace struct {
	question string
	nth      int // of the values in the answer, from 0
}

func newAnswers(l *Layout) (Decoder, error) {
	if len(l.Fields) == 0 {
		return nil, errors.New(`answers need a field such as voltage="MEAS:VOLT?":V`)
	}
	d := &answers{layout: l}
	for i := range l.Fields {
		question, nth, several := strings.Cut(l.Fields[i].Key, "#")
		p := answerPlace{question: question}
		if several {
			if len(nth) != 1 || nth[0] < '1' || nth[0] > '9' {
				return nil, errors.New("behind # stands which of the values of an answer is meant, 1 to 9")
			}
			p.nth = int(nth[0] - '1')
		}
		d.places = append(d.places, p)
	}
	return d, nil
}

// Decode reads the answers that are wanted.
func (d *answers) Decode(line []byte, r *Reading) error {
	*r = blank
	var err error
	found := false
	for len(line) > 0 {
		question, answer, rest, ok := cutAnswer(line)
		if !ok {
			break
		}
		line = rest
		for i := range d.places {
			if p := &d.places[i]; string(question) == p.question {
				found = true
				d.layout.Fields[i].answered(nth(answer, p.nth), d.layout.Decimal, r, &err)
			}
		}
	}
	if !found {
		return ErrNotMine
	}
	return err
}

// cutAnswer cuts off the first question and its answer, without its quotes; what
// was escaped in it stays so, for no number is.
func cutAnswer(line []byte) (question, answer, rest []byte, ok bool) {
	question, rest, ok = bytes.Cut(line, []byte("="))
	if !ok || len(question) == 0 {
		return nil, nil, nil, false
	}
	if len(rest) == 0 || rest[0] != '"' { // it was not answered
		return question, nil, bytes.TrimLeft(rest, " "), true
	}
	for i := 1; i < len(rest); i++ {
		switch rest[i] {
		case '\\':
			i++
		case '"':
			return question, rest[1:i], bytes.TrimLeft(rest[i+1:], " "), true
		}
	}
	return nil, nil, nil, false
}

// nth is one of the values of an answer; empty where there are fewer.
func nth(answer []byte, n int) []byte {
	for ; n > 0; n-- {
		_, rest, ok := bytes.Cut(answer, []byte(","))
		if !ok {
			return nil
		}
		answer = rest
	}
	first, _, _ := bytes.Cut(answer, []byte(","))
	return first
}

// answered puts one value into the reading.
func (f *Field) answered(cell []byte, decimal byte, r *Reading, err *error) {
	cell = trim(cell)
	if len(cell) > 2 && cell[0] == '#' && f.unit != nil {
		x, ok := otherBase(cell[1:])
		if !ok {
			*err = ErrNumber
			return
		}
		if x = f.unit.si(x); f.Negate {
			x = -x
		}
		r[f.Quantity] = x
		return
	}
	if header, value, ok := bytes.Cut(cell, []byte(" ")); ok && headed(header) {
		if _, n := number(bytes.TrimLeft(value, " "), decimal); n > 0 {
			cell = value
		}
	}
	f.put(cell, decimal, r, err)
}

// headed reports whether a word is the header of a value, like :MEAS:VOLT.
func headed(word []byte) bool {
	return word[0] == ':' || lower(word[0])-'a' < 26
}

// otherBase reads the digits of a whole number behind H, Q or B.
func otherBase(b []byte) (x float64, ok bool) {
	base := map[byte]float64{'h': 16, 'q': 8, 'b': 2}[lower(b[0])]
	if base == 0 {
		return 0, false
	}
	for _, c := range b[1:] {
		digit := float64(nibble(c))
		if digit >= base {
			return 0, false
		}
		x = x*base + digit
	}
	return x, x < 1<<53
}

// nibble is a digit's value, 16 for what is none.
func nibble(c byte) byte {
	switch {
	case c-'0' <= 9:
		return c - '0'
	case lower(c)-'a' < 6:
		return lower(c) - 'a' + 10
	}
	return 16
}
