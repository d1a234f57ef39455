package decoders

import (
	"bytes"
	"slices"
	"strings"
)

// A device's name may stand in front of its values and end in the letter of a unit, which is then no unit
// and the name of no value:
//
//	METER-A 160,12.094,6.001
//	[A] 160 12.094 6.001
//	CH-A V=12.094 A=6.001

// deviceNames takes such letters off the names of labelled values.
func (t *table) deviceNames() {
	for _, c := range t.cols {
		c.name = ownName(c.name)
	}
	if c, beside := t.inFront(); c != nil && inNameOnly(c.name, beside) {
		c.name = withoutLetters(c.name)
	}
}

// inFront is the value with a label in rows that have but one, and on how many others without unit and label it
// stands in front of; nil for other rows. What hardly any row has, and a time, do not count.
func (t *table) inFront() (front *column, beside int) {
	for _, c := range t.cols {
		first := slices.IndexFunc(c.cells, func(cell []byte) bool { return cell != nil })
		full := len(c.cells) - countNil(c.cells)
		switch {
		case full*hardly < t.rows || timeLength(c.cells[first]) > 0:
		case len(c.key) == 2 && c.key[0] == '#' && digit(c.key[1]):
			beside++
		case front != nil || full*hardly < t.rows*(hardly-1):
			return nil, 0
		default:
			front = c
		}
	}
	return front, beside
}

func countNil(cells [][]byte) (n int) {
	for _, cell := range cells {
		if cell == nil {
			n++
		}
	}
	return n
}

// inNameOnly tells a label in front of so many bare values that says a quantity by a letter only. A letter that
// stands alone may be the name of the first value of two; of three it can be that of none.
func inNameOnly(label string, beside int) bool {
	words := nameTokens(label)
	if slices.ContainsFunc(words, func(w string) bool { return wordQuantity(w) != none }) {
		return false
	}
	last := nameTokens(label[strings.LastIndexByte(label, ' ')+1:])
	if len(last) > 1 {
		return beside > 0
	}
	return beside > 1 && len(last) == 1 && understand(last[0]).of > Stamp
}

// ownName is the name of a labelled value without the letters in words before its last one, which says by itself
// what the value is.
func ownName(label string) string {
	last := string(lastSpelt([]byte(label)))
	before := strings.TrimSpace(label[:len(label)-len(last)])
	if before == "" || understand(last).of == none {
		return label
	}
	words := nameTokens(before)
	if !slices.ContainsFunc(words, unitSign) || slices.ContainsFunc(words, func(w string) bool { return wordQuantity(w) != none }) {
		return label
	}
	return strings.TrimSpace(withoutLetters(before) + " " + last)
}

// withoutLetters is a name without the words that are signs of units or quantities.
func withoutLetters(name string) string {
	return strings.Join(slices.DeleteFunc(nameTokens(name), unitSign), " ")
}

// unitSign tells the sign of a unit, as A and mAh, or a letter that stands for a quantity, as U.
func unitSign(word string) bool {
	if u := unitNamed([]byte(word), none); u != nil {
		return foldEqual([]byte(word), u.name)
	}
	return len(word) == 1 && bytes.IndexByte([]byte("uitpqe"), word[0]) >= 0
}
