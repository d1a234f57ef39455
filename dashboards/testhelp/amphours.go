package testhelp

import "slices"

// AmpHours is the plain integral of rows that one may ask for, under the rule for gaps:
// trapezoids, and nothing across an interval longer than ten usual ones and 30 s, the
// usual one being the lower median of the five around. It also tells how long the gaps
// were, s. It is no part of the program, which has it by another way, so that it can be
// held against the program.
func AmpHours(rows int, row func(k int) (at, amps float64)) (in, gaps float64) {
	interval := func(k int) float64 {
		begin, _ := row(k)
		end, _ := row(k + 1)
		return end - begin
	}
	for k := range rows - 1 {
		var around []float64
		for j := max(0, k-2); j <= min(rows-2, k+2); j++ {
			around = append(around, interval(j))
		}
		slices.Sort(around)
		usual := around[(len(around)-1)/2]
		if interval(k) > max(10*usual, 30) {
			gaps += interval(k)
			continue
		}
		_, before := row(k)
		_, after := row(k + 1)
		in += interval(k) * (before + after) / 2
	}
	return in / 3600, gaps
}
