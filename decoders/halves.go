package decoders

import "bytes"

// A log may have commas both between its columns and in its numbers, and no quotes: each
// number stands in two cells.
//
//	Zeit,Spannung,Strom
//	00:10:05,12,053,3,500

// joinHalves puts the cells of such a line together, two and two. Where their number is
// odd, the first is whole: a count or a time.
func joinHalves(cells [][]byte) [][]byte {
	count := 0
	for _, c := range cells {
		if isDigits(c) {
			count++
		}
	}
	out := cells[:0]
	for i := 0; i < len(cells); i++ {
		c := cells[i]
		if isDigits(c) {
			if count%2 == 0 && i+1 < len(cells) && isDigits(cells[i+1]) && cells[i+1][0] != '-' {
				c = c[:len(c)+1+len(cells[i+1])] // they lie side by side in the line
				i++
				count--
			}
			count--
		}
		out = append(out, c)
	}
	return out
}

// isDigits tells a cell of digits, with a sign or without.
func isDigits(c []byte) bool {
	if len(c) > 1 && c[0] == '-' {
		c = c[1:]
	}
	for _, d := range c {
		if d-'0' > 9 {
			return false
		}
	}
	return len(c) > 0
}

// inHalves tells such a log: there are no points and no quotes, and some second halves
// begin with a nought, which no number does.
func inHalves(lines [][]byte) bool {
	noughts := 0
	var room [maxColumns][]byte
	for _, l := range lines {
		if !MayBeRow(l) {
			continue
		}
		if bytes.ContainsAny(l, `."`) {
			return false
		}
		cells, n := cutColumns(l, ',', room[:0])
		for k := 1; k < len(cells); k++ {
			if c := cells[k]; n > 3 && len(c) > 1 && len(c) < 4 && c[0] == '0' && isDigits(c) && isDigits(cells[k-1]) {
				noughts++
				break
			}
		}
	}
	return noughts > 2
}
