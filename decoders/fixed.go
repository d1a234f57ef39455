package decoders

import "bytes"

// Fixed width: a table set in blanks whose columns end in the same place on
// every line, so that a cell may be empty.
//
//	     0.0  12.200          18.3
//	    10.0  12.550   3.500  18.3

// stopsOf finds where the columns end, from the full rows; nil where they do
// not end in one place, or where no row needs it.
func stopsOf(lines [][]byte, decimal byte, width int) []int {
	var stops []int
	full, holes := 0, 0
	var room [maxColumns][]byte
	for _, l := range lines {
		cells, n := cutColumns(l, ' ', room[:0])
		if values, others := dataCells(cells, decimal); n > width || others > 0 || values == 0 || bytes.IndexByte(l, '\t') >= 0 {
			continue
		}
		ends := endsOf(l, cells)
		if n < width {
			if stops != nil && among(ends, stops) {
				holes++
			}
			continue
		}
		if stops == nil {
			stops = ends
		}
		if !among(ends, stops) {
			return nil
		}
		full++
	}
	if full < 3 || holes*50 < full {
		return nil
	}
	return stops
}

// endsOf is where each cell ends in the line.
func endsOf(line []byte, cells [][]byte) []int {
	ends := make([]int, len(cells))
	for i, c := range cells {
		ends[i] = cap(line) - cap(c) + len(c) // cells are parts of the line
	}
	return ends
}

// among tells whether all ends are stops.
func among(ends, stops []int) bool {
	k := 0
	for _, e := range ends {
		for k < len(stops) && stops[k] < e {
			k++
		}
		if k == len(stops) || stops[k] != e {
			return false
		}
	}
	return true
}
