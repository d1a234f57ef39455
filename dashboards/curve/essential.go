package curve

import (
	"math"
	"slices"

	"amphora/analyze"
)

// most is how many rows of a stretch can be essential: first, last, lowest and
// highest of each quantity.
const most = 4 * quantities

// essential appends to dst the rows of a stretch without which its shape would
// change: those with the first, last, lowest and highest known value of each
// quantity, in their order, each once. Essential rows of essential rows are the
// same, so stretches may be joined and thinned again without losing a peak.
// dst may be rows[:0].
func essential(dst, rows []Point) []Point {
	var marks [most]int
	n := 0
	for q := range quantities {
		first, last, low, high := -1, -1, -1, -1
		lowest, highest := math.Inf(1), math.Inf(-1)
		for i := range rows {
			x := rows[i].value(q)
			if !analyze.Known(x) {
				continue
			}
			if last = i; first < 0 {
				first = i
			}
			if x < lowest {
				low, lowest = i, x
			}
			if x > highest {
				high, highest = i, x
			}
		}
		if first >= 0 {
			n += copy(marks[n:], []int{first, last, low, high})
		}
	}
	slices.Sort(marks[:n])
	for _, i := range slices.Compact(marks[:n]) {
		dst = append(dst, rows[i])
	}
	return dst
}
