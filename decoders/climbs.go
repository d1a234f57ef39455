package decoders

import (
	"math"
	"strings"
)

// climbs tells a column that counts: what is measured flickers back where it passes from
// digit to digit, and hardly ever rises by so many without (our own figure).
func (c *column) climbs() bool { return c.falling == 0 && c.levels > 5 }

// hundredths tells a column that is how full a battery is in percent, or how far a charger thinks to have come.
func (c *column) hundredths() bool {
	return c.whole && c.minimum >= 0 && c.maximum <= 100 && c.stepLow == 1 && c.stepHigh == 1
}

// arrives tells a column that stands at its last value for longer than at any on the way to
// it, as a current does that is led up to where it is held. A count goes on while there is
// something to count.
func (c *column) arrives() bool {
	run, longest, last, first := 0, 0, math.NaN(), true
	for _, x := range c.x {
		switch {
		case !known(x):
		case x == last:
			run++
		default:
			if !first && known(last) {
				longest = max(longest, run)
			}
			first, last, run = !known(last), x, 1
		}
	}
	return run > 2*longest+1
}

// fills tells a column called by the letter C alone which is no temperature, but what went in, C for capacity:
// it counts, from nothing or by more than a battery warms.
func (c *column) fills() bool {
	const warms = 60 // degrees
	return strings.EqualFold(strings.TrimSpace(c.name), "c") && c.climbs() && (c.first >= 0 && c.first <= c.quantum || c.maximum-c.minimum > warms)
}
