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
	shapes := make([]int, len(lines)) // each line's number among those that there are; 0 for no row
	numbers := make(map[string]int)
	count := []int{0}
	rows := 0
	var room []byte
	for k, l := range lines {
		if !slices.ContainsFunc(l, digit) {
			continue
		}
		room = inZeros(room[:0], l)
		n, known := numbers[string(room)]
		if !known {
			n = len(count)
			numbers[string(room)] = n
			count = append(count, 0)
		}
		shapes[k] = n
		count[n]++
		rows++
	}
	kept := make([][]byte, 0, len(lines))
	common := 0
	for k, l := range lines {
		n := count[shapes[k]]
		if n*rarely > rows {
			common++
		}
		if shapes[k] == 0 || n > 1 || common < begun {
			kept = append(kept, l)
		}
	}
	if (len(lines)-len(kept))*habit > rows {
		return lines
	}
	return kept
}

// inZeros writes a line behind shape, with a zero for each run of digits.
func inZeros(shape, line []byte) []byte {
	for k, c := range line {
		switch {
		case !digit(c):
			shape = append(shape, c)
		case k == 0 || !digit(line[k-1]):
			shape = append(shape, '0')
		}
	}
	return shape
}

// sift takes numbers out of a series that are far from both their neighbours.
func sift(x []float64) {
	const far = 20 // times as much as nine of ten differ, or the smallest step
	at := make([]int, 0, len(x))
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
