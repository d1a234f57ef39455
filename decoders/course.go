package decoders

import (
	"math"
	"slices"
)

// What a charger holds, and what moves beside it. In a charge that is recorded from its middle
// nothing steps, and sizes alone do not tell a voltage from a current. But a current that is
// held has the voltage climb, and a voltage that is held has the current fall: the other way
// round no charge goes (physics; nothing to cite).

// course is where a column's size goes, from one third of the rows to the next, and by how
// much it goes anyway.
type course struct{ early, midway, late, noise float64 }

func (c *column) course() course {
	sizes := make([]float64, 0, len(c.x))
	for _, x := range c.x {
		if known(x) {
			sizes = append(sizes, math.Abs(x))
		}
	}
	third := len(sizes) / 3
	if third == 0 {
		return course{noise: math.Inf(1)}
	}
	noise := c.step
	if c.levels > 1 {
		noise = math.Max(noise, c.quantum)
	}
	for _, part := range [][]float64{sizes[:third], sizes[third : 2*third], sizes[2*third:]} {
		slices.Sort(part)
	}
	return course{quantile(sizes[:third], 0.5), quantile(sizes[third:2*third], 0.5), quantile(sizes[2*third:], 0.5), noise}
}

func (c course) held() bool { return math.Abs(c.late-c.early) <= 1.5*c.noise }

// goes is by how much, less for down; 0 where it goes to and fro, or hardly beyond its noise.
func (c course) goes() float64 {
	far := c.late - c.early
	if math.Abs(far) < 3*c.noise || (c.midway-c.early)*(c.late-c.midway) <= 0 {
		return 0
	}
	return far
}

// swapped tells a voltage and a current that would be each other: a current that climbs while the
// voltage is held, as it does at the beginning only, where it is led up; or a voltage that falls to
// less than half while the current is.
func swapped(v, i *column) bool {
	if v.n <= ledUp || i.n <= ledUp || i.size()*0.05 > min(math.Abs(i.low), math.Abs(i.high)) {
		return false // of a current that is nought at times, its steps tell more
	}
	volts, amps := v.course(), i.course()
	switch {
	case volts.held():
		return amps.goes() > 0
	case amps.held():
		return volts.goes() < -volts.early/2
	}
	return false
}
