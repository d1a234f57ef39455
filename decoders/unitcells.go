package decoders

// A unit may have a cell of its own behind its value, and change from row to row as the meter's
// range does:
//
//	Time,Voltage,Unit,Current,Unit
//	21:40:00,12.712,V,998.2,mA
//	21:40:10,13.021,V,1.002,A

// unitCells gives each column of numbers the unit that the cells behind it tell. It reports whether there are
// any of a voltage or a current: what follows the range is then the business of labelled values.
func (t *table) unitCells() (any bool) {
	for k := 0; k+1 < len(t.cols); k++ {
		c := t.cols[k]
		u := t.cols[k+1].onlyUnits()
		if u == nil || c.what != isNumber || c.unitBeside || u.of != Volts && u.of != Amps {
			continue
		}
		c.unitBeside, c.said.of, c.said.unit = true, u.of, u
		any = true
	}
	return any
}

// onlyUnits is the unit in the last cell of a column of nothing else but units of one quantity, nil for other
// columns.
func (c *column) onlyUnits() (last *unit) {
	if c.what != isOther {
		return nil
	}
	for _, cell := range c.cells {
		if cell = trim(cell); len(cell) == 0 {
			continue
		}
		u := unitNamed(cell, none)
		if u == nil || last != nil && u.of != last.of {
			return nil
		}
		last = u
	}
	return last
}
