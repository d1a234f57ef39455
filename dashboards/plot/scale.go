package plot

import (
	"math"
	"strconv"

	"gonum.org/v1/plot/vg"
)

// scale puts values on paper: low at from, high at to.
type scale struct {
	low, high float64
	from, to  vg.Length
}

func (s scale) at(x float64) vg.Length {
	share := (x - s.low) / (s.high - s.low)
	return s.from + vg.Length(share)*(s.to-s.from)
}

// clamp is at, kept on the paper.
func (s scale) clamp(x float64) vg.Length { return s.at(min(max(x, s.low), s.high)) }

// tick is a marked value of a scale.
type tick struct {
	at   float64
	text string
}

// ticks marks the multiples of a step, written in units of so many of the
// scale's own (3600 for hours on a scale of seconds).
func (s scale) ticks(step, unit float64) []tick {
	decimals := 0
	for d := step; decimals < 6 && math.Abs(d-math.Round(d)) > 1e-6; decimals++ {
		d *= 10
	}
	var list []tick
	first := math.Ceil(s.low/unit/step - 1e-9)
	last := math.Floor(s.high/unit/step + 1e-9)
	for n := range int(min(last-first, 100)) + 1 {
		k := first + float64(n)
		list = append(list, tick{k * step * unit, strconv.FormatFloat(k*step+0, 'f', decimals, 64)}) // +0 makes -0 plain
	}
	return list
}

// roundStep is the step of 1, 2 or 5 times a power of ten that divides a span
// into at most so many parts.
func roundStep(span float64, parts int) float64 {
	rough := span / float64(parts)
	ten := math.Pow(10, math.Floor(math.Log10(rough)))
	for _, m := range []float64{1, 2, 5} {
		if m*ten >= rough*(1-1e-9) {
			return m * ten
		}
	}
	return 10 * ten
}

// timeTicks marks a scale of seconds in hours, or, where it is short, in
// minutes or seconds, and names the unit.
func (s scale) timeTicks() (unit string, list []tick) {
	const parts = 12
	span := s.high - s.low
	switch {
	case span < 120:
		return "s", s.ticks(max(1, roundStep(span, parts)), 1)
	case span < 2*3600:
		return "min", s.ticks(firstStep(span/60, parts, 0.5, 1, 2, 5), 60)
	}
	return "h", s.ticks(firstStep(span/3600, parts, 0.25, 0.5, 1, 2, 3, 6, 12, 24, 48), 3600)
}

// firstStep is the first of the steps that divides a span into at most so many
// parts; beyond the last, a multiple of it.
func firstStep(span float64, parts int, steps ...float64) float64 {
	for _, step := range steps {
		if span <= step*float64(parts) {
			return step
		}
	}
	last := steps[len(steps)-1]
	return last * max(1, roundStep(span/last, parts))
}
