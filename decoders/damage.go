package decoders

import (
	"math"
	"slices"
)

// What a bad contact changed on its way tells nothing of how the rest is to be read:
// before a decoder is chosen, lines that look like no other are laid aside, and numbers
// far from both their neighbours. What is more frequent than one in thirty belongs to
// the log.
const rarely = 30

// undamaged leaves out the lines among rows that are shaped as no other row is. Those
// before the rows have begun, like headings, are kept.
func undamaged(lines [][]byte) [][]byte {
	const (
		begun = 3  // rows
		habit = 10 // of so many rows, when more than one is like no other
	)
	shapes := make([]string, len(lines))
	count := make(map[string]int)
	rows := 0
	for k, l := range lines {
		if slices.ContainsFunc(l, digit) {
			shapes[k] = patternOf(l)
			count[shapes[k]]++
			rows++
		}
	}
	kept := make([][]byte, 0, len(lines))
	common := 0
	for k, l := range lines {
		n := count[shapes[k]]
		if n*rarely > rows {
			common++
		}
		if shapes[k] == "" || n > 1 || common < begun {
			kept = append(kept, l)
		}
	}
	if (len(lines)-len(kept))*habit > rows {
		return lines
	}
	return kept
}

// patternOf is a line with a zero for each run of digits.
func patternOf(line []byte) string {
	shape := make([]byte, 0, len(line))
	for k, c := range line {
		switch {
		case !digit(c):
			shape = append(shape, c)
		case k == 0 || !digit(line[k-1]):
			shape = append(shape, '0')
		}
	}
	return string(shape)
}

// sift takes numbers out of a series that are far from both their neighbours.
func sift(x []float64) {
	const far = 20 // times as much as nine of ten differ, or the smallest step
	var at []int
	for k, v := range x {
		if known(v) {
			at = append(at, k)
		}
	}
	if len(at) < 2*rarely {
		return
	}
	off := make([]float64, len(at))
	smallest := math.Inf(1)
	for k := 1; k+1 < len(at); k++ {
		a, b, c := x[at[k-1]], x[at[k]], x[at[k+1]]
		off[k] = math.Abs(b - middle(a, b, c))
		if d := math.Abs(b - a); d > 0 {
			smallest = min(smallest, d)
		}
	}
	sorted := slices.Clone(off)
	slices.Sort(sorted)
	limit := far * max(quantile(sorted, 0.9), smallest)
	if few := len(off) / rarely; sorted[len(sorted)-1-few] > limit {
		return
	}
	for k, d := range off {
		if d > limit {
			x[at[k]] = math.NaN()
		}
	}
}

func middle(a, b, c float64) float64 { return max(min(a, b), min(max(a, b), c)) }
