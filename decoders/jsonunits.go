package decoders

import (
	"slices"
	"strings"
)

// The unit of a JSON value may stand beside it, in its object or by its own name, and change from row to row
// as the meter's range does:
//
//	{"v":12.712,"i":998,"unit":"mA"}
//	{"v":13.021,"i":1.002,"unit":"A"}
//	{"current":998,"current_unit":"mA"}

var unitKeys = []string{"unit", "units", "uom"}

// unitPaths are where the unit of the value at a path may stand.
func unitPaths(path string) (paths []string) {
	object, _ := cutPath(path)
	for _, k := range unitKeys {
		paths = append(paths, join(object, k), path+"_"+k, path+strings.ToUpper(k[:1])+k[1:])
	}
	return paths
}

// endsLikeUnit tells, at the cost of one byte, what is no path of a unit.
func endsLikeUnit(path []byte) bool {
	return len(path) > 0 && strings.IndexByte("tsm", path[len(path)-1]) >= 0
}

// rangedBy takes the unit that the line tells of a field's value, where it stands at this path.
func (v *jsonValue) rangedBy(w *jsonWalk, f *Field) {
	for _, path := range v.units {
		if string(w.path) != path {
			continue
		}
		if u := unitNamed(w.value, f.Quantity); u != nil && u != f.unit {
			v.ranged = *f
			v.ranged.unit = u
			v.field = &v.ranged
		}
		return
	}
}

// unitsOfRows writes the unit of each row behind the values that it is of, where it changes from row to row.
func (t *table) unitsOfRows() {
	for _, words := range t.cols {
		of := words.rangesOf()
		if of == none {
			continue
		}
		for _, c := range t.cols {
			if object, key := cutPath(c.key); !slices.Contains(unitPaths(c.key), words.key) || understand(key).of != of && !t.alone(object, words.key, c.key) {
				continue
			}
			for row, cell := range c.cells {
				if unit := words.cells[row]; cell != nil && unitNamed(unit, of) != nil {
					c.cells[row] = slices.Concat(cell, []byte(" "), unit)
				}
			}
		}
	}
}

// rangesOf is the quantity, voltage or current, of which a column tells the unit of nearly each row, and not always the
// same; none for other columns.
func (c *column) rangesOf() Quantity {
	var count [quantities]int
	var first *unit
	differ, full := false, 0
	for _, cell := range c.cells {
		if cell == nil {
			continue
		}
		full++
		if u := unitNamed(cell, none); u != nil {
			count[u.of]++
			differ = differ || first != nil && first != u
			first = u
		}
	}
	for _, of := range [...]Quantity{Volts, Amps} {
		if differ && count[of]*hardly > full*(hardly-1) {
			return of
		}
	}
	return none
}

// alone tells that of all numbers in an object, or of that name, the value is the only one that the unit can be of.
func (t *table) alone(object, unit, value string) bool {
	if in, key := cutPath(unit); in != object || !slices.Contains(unitKeys, key) {
		return true // it has the value's name
	}
	for _, c := range t.cols {
		in, _ := cutPath(c.key)
		first := slices.IndexFunc(c.cells, func(cell []byte) bool { return cell != nil })
		if k, _, _ := kindOf(c.cells[first], t.layout.Decimal); in == object && c.key != value && k == isNumber {
			return false
		}
	}
	return true
}
