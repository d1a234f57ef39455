package decoders

import (
	"bytes"
	"math"
)

// sample is the lines that Fit looks at.
type sample struct {
	lines [][]byte
	all   [][]byte // the damaged ones among them, for who counts lines
}

// through is the same lines after a change.
func (s *sample) through(change func([][]byte) [][]byte) *sample {
	out := &sample{lines: change(s.lines)}
	if out.all = out.lines; len(s.all) > len(s.lines) {
		out.all = change(s.all)
	}
	return out
}

// probe is some of the lines, enough to choose an envelope by.
func (s *sample) probe() [][]byte {
	const ends = 300
	if len(s.lines) <= 2*ends {
		return s.lines
	}
	return append(append([][]byte(nil), s.lines[:ends]...), s.lines[len(s.lines)-ends:]...)
}

// table is how one decoder would see the lines: values that belong together
// stand in one column, whatever the envelope.
type table struct {
	layout Layout // all but the fields
	cols   []*column
	rows   int        // lines that are rows
	odd    [][][]byte // cells of rows that have another number of them, unless that is rare
	share  float64    // of the lines that are not blank, 0 to 1
	clean  float64    // of the cells, those that are values, 0 to 1
}

// column is one value over all rows.
type column struct {
	key        string   // as a setting names it
	name       string   // header, label or path; "" for none
	cells      [][]byte // one a row, nil where it is missing
	said       naming
	what       cellKind
	x          []float64 // the numbers, NaN where there is none
	unitBeside bool      // the cells tell their unit
	full       int       // cells that are not blank
	words      int       // of those, the ones that are no values
	states     int       // of these, the ones that are one word
	stats
}

// cellKind is what most cells of a column are.
type cellKind int

const (
	isBlank cellKind = iota
	isNumber
	isClock
	isDate
	isStamp
	isOverload
	isOther
)

// kindOf tells what a cell is, and its number and unit if it is one.
func kindOf(cell []byte, decimal byte) (kind cellKind, x float64, u *unit) {
	cell = trim(cell)
	if x, n := number(cell, decimal); n > 0 {
		if n == len(cell) {
			if overloaded(x) {
				return isOverload, math.NaN(), nil
			}
			if len(cell) == 14 && compactStamp(cell) {
				return isStamp, math.NaN(), nil
			}
			return isNumber, x, nil
		}
		if u := unitNamed(behind(cell[n:]), none); u != nil {
			return isNumber, x, u
		}
		switch prefixAt(behind(cell[n:])) {
		case 'm':
			return isNumber, x / 1e3, nil
		case 'u':
			return isNumber, x / 1e6, nil
		case 'k':
			return isNumber, x * 1e3, nil
		}
	}
	switch word(cell) {
	case nil:
		return isBlank, math.NaN(), nil
	case ErrOverload:
		return isOverload, math.NaN(), nil
	}
	if _, n := clockCell(cell, formHMS); n == len(cell) {
		return isClock, math.NaN(), nil
	}
	if _, n := dayClock(cell); n == len(cell) {
		return isClock, math.NaN(), nil
	}
	for _, form := range [...]string{formDMY, formMDY} {
		if _, n := dateAt(cell, form); n == len(cell) {
			return isDate, math.NaN(), nil
		}
		if _, n := stampAt(cell, form); n == len(cell) {
			return isStamp, math.NaN(), nil
		}
	}
	return isOther, math.NaN(), nil
}

// study decides what a column holds and reads its numbers.
func (c *column) study(decimal byte) {
	var count [isOther + 1]int
	var told [quantities]int // cells with a unit of each
	c.x = make([]float64, len(c.cells))
	for i, cell := range c.cells {
		k, x, u := kindOf(cell, decimal)
		count[k]++
		if k == isOther && !bytes.ContainsAny(trim(cell), " ('\"") {
			c.states++
		}
		if u != nil {
			told[u.of]++
			x = u.si(x) / base(u.of).si(1) // cells of one column may differ in their unit
		}
		c.x[i] = x
	}
	found := none
	for of, n := range told {
		if n*2 > count[isNumber] {
			found = Quantity(of)
		}
	}
	c.what = isBlank
	for k := isNumber; k <= isOther; k++ {
		if count[k] > count[c.what] || c.what == isBlank && count[k] > 0 {
			c.what = k
		}
	}
	c.full, c.words = len(c.cells)-count[isBlank], count[isOther]
	c.said = understand(c.name)
	if c.what != isClock && c.what != isStamp && c.dotted(count[isDate]) {
		c.what = isClock
	}
	if c.unitBeside = found != none && !hasAny(c.name, checkWords...); c.unitBeside {
		c.said.of, c.said.unit = found, base(found)
	}
	if c.what == isNumber {
		sift(c.x)
		c.measure(c.x)
		if c.toMinutes() || c.digital() {
			c.what = isClock
		} else if c.calendar() {
			c.what = isDate
		}
		if c.said.count != nil && c.whole && !c.unitBeside {
			c.said.unit = c.said.count
		}
		if c.said.of == Time && c.said.unit == nil && c.n > 7 && c.rising < 2*c.falling {
			c.said = naming{of: none} // whatever falls as it rises is no time, but temps may be temperatures
		}
		if !c.unitBeside && c.fills() {
			c.said = naming{of: none}
		}
	}
}

// ragged tells rows of which some lack or add cells at the end from lines that were joined
// or cut: the values of a joined one stand in columns that are not theirs.
func (t *table) ragged() bool {
	strange := 0
	for _, cells := range t.odd {
		for k, c := range t.cols[:min(len(cells), len(t.cols))] {
			kind, x, _ := kindOf(cells[k], t.layout.Decimal)
			if room := 0.2 * (c.maximum - c.minimum); kind == isNumber && c.what == isNumber && (x < c.minimum-room || x > c.maximum+room) {
				strange++
				break
			}
		}
	}
	return len(t.odd) > 0 && strange*4 <= len(t.odd)
}

// dump leaves out the columns of a hexadecimal dump, 2F 79, where some have letters. What has the name of a quantity
// and no letters is no part of one.
func (t *table) dump() {
	var of []*column
	letters := false
	for _, c := range t.cols {
		length, letter := hexadecimal(c.cells)
		if length == 2 || length == 4 {
			letters = letters || letter
			if letter || c.said.of == none {
				of = append(of, c)
			}
		}
	}
	for _, c := range of {
		if letters {
			c.what = isOther
		}
	}
}

// hexadecimal is the length of cells that all are so many hexadecimal digits, and whether
// they have letters beside others, as the state CC has not; 0 for others.
func hexadecimal(cells [][]byte) (length int, letter bool) {
	decimal := false
	for _, cell := range cells {
		if len(cell) != len(cells[0]) {
			return 0, false
		}
		for _, d := range cell {
			if d-'0' > 9 && d-'A' > 5 {
				return 0, false
			}
			letter = letter || d >= 'A'
			decimal = decimal || d < 'A'
		}
	}
	return len(cells[0]), letter && decimal
}

// cleanness is the share of the cells that are values, of those that are not blank. A column
// that holds a word in almost every row, as a state has, is no dirt; but of a sentence, which
// blanks cut into columns as well, all words count, and so does text that has a time within.
func (t *table) cleanness() float64 {
	values, words := 0, 0
	for _, c := range t.cols {
		if t.layout.Separator == ' ' || c.states*10 < c.full*9 {
			values, words = values+c.full-c.words, words+c.words
		}
	}
	return float64(values) / float64(max(values+words, 1))
}

// calendar tells a date in eight digits, 20260314, in a column that is not called otherwise.
func (c *column) calendar() bool {
	const least, most = 19700101, 22001231
	if !c.whole || c.minimum < least || c.maximum > most || c.name != "" && c.said.of != Date && c.said.of != Time {
		return false
	}
	for _, cell := range c.cells {
		if _, n := dateAt(trim(cell), formYMD); n != len(trim(cell)) {
			return false
		}
	}
	return true
}

// unitStated tells whether the name says the unit. A single letter, V or A,
// names the quantity first of all; beside a number it is a unit.
func (c *column) unitStated() bool { return c.said.unit != nil && (len(c.name) > 1 || c.unitBeside) }

// after is the value in the next row, NaN where there is none.
func (c *column) after(row int) float64 {
	if row+1 < len(c.x) {
		return c.x[row+1]
	}
	return math.NaN()
}
