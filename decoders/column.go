package decoders

import (
	"bytes"
	"math"
)

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

// study decides what a column holds and reads its numbers.
func (c *column) study(decimal byte) {
	count, stated := c.read(decimal)
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
	if c.unitBeside = stated != none && !hasAny(c.name, checkWords...); c.unitBeside {
		c.said.of, c.said.unit = stated, base(stated)
	}
	if c.what == isNumber {
		c.studyNumbers()
	}
}

// read reads the cells, counts those of each kind, and gives the quantity whose unit stands in most of them.
func (c *column) read(decimal byte) (count [isOther + 1]int, stated Quantity) {
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
	stated = none
	for of, n := range told {
		if n*2 > count[isNumber] {
			stated = Quantity(of)
		}
	}
	return count, stated
}

// studyNumbers looks whether numbers are clocks or dates, and takes back what a name said of them that they are not.
func (c *column) studyNumbers() {
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
