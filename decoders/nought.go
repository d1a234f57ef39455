package decoders

import "math"

// isNought tells a current of a few digits to one side, as much as a meter's zero is off by, which flickers by as
// many about it and goes nowhere: none flows (common practice, no source).
func (c *column) isNought() bool {
	const off = 3 // digits
	if c.levels <= 1 || math.Abs(c.median) > (off+0.5)*c.quantum || c.changesOnce() || c.setsIn() {
		return false
	}
	return math.Max(c.lasting(), c.size()) <= (off+flicker+0.5)*c.quantum && c.course().goes() == 0
}
