package condition

import (
	"slices"
	"time"

	"amphora/analyze"
)

// Battery is what its label says.
type Battery struct {
	Chemistry  analyze.Chemistry // "" is unknown
	Cells      int               // in series; 0 is unknown
	Rated      float64           // C; 0 is unknown
	RatedHours float64           // h, the discharge time that the rating is for; 0 is unknown
}

// Reading is what was noted by hand, in SI units; NaN is what was not measured.
type Reading struct {
	At      time.Time
	Ohm     float64
	Volts   float64 // at rest
	Gravity float64 // of the acid, against water
	Celsius float64
}

// Condition is what can be said of a battery by now.
type Condition struct {
	Verdict  Verdict   `json:"verdict"`
	Trends   []Trend   `json:"trends"`
	Capacity *Capacity `json:"capacity"` // null where nothing allows an estimate
	Depths   []Depth   `json:"depths"`   // of complete charges, the oldest first
	Charges  int       `json:"charges"`  // with a date
	Undated  int       `json:"undated"`  // charges without one, of no use here
}

// Of judges a battery by its charges and readings, in any order.
func Of(b Battery, charges []analyze.Session, readings []Reading) Condition {
	h := history{battery: b, readings: slices.Clone(readings)}
	c := Condition{Trends: []Trend{}, Depths: []Depth{}}
	for k := range charges {
		switch s := &charges[k]; {
		case s.Started == nil:
			c.Undated++
		case s.Outcome != analyze.NoCharge && s.Outcome != analyze.Running:
			h.charges = append(h.charges, s)
		}
	}
	c.Charges = len(h.charges)
	slices.SortStableFunc(h.charges, func(x, y *analyze.Session) int { return x.Started.Compare(*y.Started) })
	slices.SortStableFunc(h.readings, func(x, y Reading) int { return x.At.Compare(y.At) })
	list := h.series()
	for _, s := range list {
		if len(s.points) > 0 {
			c.Trends = append(c.Trends, s.trend())
		}
	}
	c.Depths = h.depths()
	c.Capacity = h.capacity()
	c.Verdict = h.verdict(list, c.Trends, c.Capacity)
	return c
}

// history is a battery's dated charges and readings in the order of time.
type history struct {
	battery  Battery
	charges  []*analyze.Session
	readings []Reading
}

// complete lists the charges that made the battery full.
func (h *history) complete() []*analyze.Session {
	var list []*analyze.Session
	for _, s := range h.charges {
		if s.Outcome == analyze.Complete {
			list = append(list, s)
		}
	}
	return list
}

// moment is when something in a charge was, by the wall clock.
func moment(s *analyze.Session, at analyze.Number) time.Time {
	return s.Started.Add(time.Duration(float64(at-s.StartS) * float64(time.Second)))
}
