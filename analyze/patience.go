package analyze

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Patience is how far the thresholds of findings are stretched, by code. With 2 a
// finding takes twice as much of what it goes by: hours of a standing voltage or
// current, of a silence, or beyond what explains them; ampere-hours; a climb or fall
// of the current; rows in a row beyond a limit; times that something happened. With
// Never it is as if its detector were not there. What is not listed stands as it is,
// and so do the Limits that a person sets.
type Patience map[string]float64

// Never is the patience with which a finding is not told.
var Never = math.Inf(1)

// The range of factors, beyond which somebody means something else.
const (
	leastPatience = 0.1
	mostPatience  = 100
)

// Set takes the patience with a finding as people write it: a factor like 2x, or off.
func (p *Patience) Set(code, text string) error {
	if _, known := severities[code]; !known {
		return fmt.Errorf("there is no finding %q, want one of %s", code, strings.Join(slices.Sorted(maps.Keys(severities)), ", "))
	}
	factor := Never
	if text != "off" {
		var err error
		factor, err = strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(text, "x")), 64)
		if err != nil || !(factor >= leastPatience && factor <= mostPatience) {
			return fmt.Errorf("%q is neither off nor a factor from %gx to %gx, want text like 2x", text, leastPatience, float64(mostPatience))
		}
	}
	if *p == nil {
		*p = Patience{}
	}
	(*p)[code] = factor
	return nil
}

// of is by how much a finding's thresholds are stretched, 1 unless it was set.
func (p Patience) of(code string) float64 {
	if f := p[code]; f > 0 && f != Never {
		return f
	}
	return 1
}

// times is how often something must be seen for a finding that takes so many times.
func (p Patience) times(code string, usual int) int {
	return int(math.Ceil(p.of(code) * float64(usual)))
}

// silences reports whether a finding is not to be told.
func (p Patience) silences(code string) bool { return p[code] == Never }

// heard is what is left of findings without those that nobody wants to hear of.
func (p Patience) heard(list []Finding) []Finding {
	if len(p) == 0 {
		return list
	}
	return slices.DeleteFunc(slices.Clone(list), func(f Finding) bool { return p.silences(f.Code) })
}
