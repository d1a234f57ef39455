package decoders

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A log may have the voltages of the cells, and none of the battery:
//
//	time_s,current_A,cell1_V,cell2_V,cell3_V
//
// Cells that one current charges stand in series, and their voltages add up.

// inSeries are the columns of the cells, in the order of the line, where the voltage would be that of one of them;
// nil where it is not, where there are no others, or where each has a current of its own.
func (t *table) inSeries(volts int) (cells []int) {
	const alike = 0.25 // what is farther away from it is no cell of the same battery (our own figure)
	if t.layout.Kind != columnsEntry.Name || volts < 0 || !t.cols[volts].isCell(Volts) {
		return nil
	}
	of := t.cols[volts]
	for k, c := range t.cols {
		switch {
		case c.isCell(Amps):
			return nil
		case c.isCell(Volts) && c.said.unit == of.said.unit && math.Abs(c.median-of.median) < alike*math.Abs(of.median):
			cells = append(cells, k)
		}
	}
	if len(cells) < 2 {
		return nil
	}
	return cells
}

// isCell tells what is called after a cell and its number, and may be of a quantity: Cell1, "cell 2 (V)", Zelle03.
func (c *column) isCell(of Quantity) bool {
	named := c.said.of == of || of == Volts && c.said.of == none && !c.said.other
	return c.what == isNumber && named && channelOf(c.name) > 0 && slices.ContainsFunc(nameTokens(c.name), func(w string) bool {
		return slices.Contains(cellWords, strings.TrimRight(w, "0123456789"))
	})
}

// addCells adds their voltages as one.
func (t *table) addCells(f *Fitted, cells []int) {
	for k, col := range cells {
		c := t.cols[col]
		u, why := unitOf(c, Volts, c.part(Volts, math.Abs(c.median)))
		t.addField(f, col, Field{Quantity: Volts, Form: u, adds: k > 0}, why+fmt.Sprintf("; of %d cells, whose voltages add up", len(cells)))
	}
}
