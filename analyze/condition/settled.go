package condition

import "fmt"

// vagueRest is how sure a settled voltage must be to count, V (95 %): half an
// hour of rest gives a 12 V battery's no better than 0.1 to 0.2 V.
const vagueRest = 0.2

const (
	emptyCell  = 2.00  // V a cell, settled after a full charge: less is half empty
	fullCell   = 2.10  // V a cell: 12.6 V or a little more (common practice, no source)
	restDoubt  = 0.005 // of the voltage: a usual voltmeter is off by so much, and a battery 20 K colder stands a third of it lower
	restSource = "common practice: 12.6 V or a little more when full and settled"
)

// restEvidence judges the settled voltage after full charges by its line's end.
func (h *history) restEvidence(trends []Trend) (Evidence, bool) {
	if !h.battery.Chemistry.Lead() || h.battery.Cells < 1 {
		return Evidence{}, false
	}
	t := told(trends, SettledVoltage)
	if t == nil {
		return Evidence{}, false
	}
	last, cells := float64(t.Last), float64(h.battery.Cells)
	e := Evidence{Quantity: t.Quantity, State: NoSign, Source: restSource}
	e.Text = fmt.Sprintf("settles at %.2f V after a full charge by now (%.2f V at first)", last, float64(t.First))
	switch {
	case last < emptyCell*cells:
		e.State, e.Text = NearReplacement, e.Text+": it does not keep its charge, or a cell is bad"
	case last < fullCell*cells && (last < fullCell*cells*(1-restDoubt) || t.ChangeHigh < 0):
		e.State, e.Text = Ageing, e.Text+fmt.Sprintf(": below the %.1f V of a healthy, full one", fullCell*cells)
	case last < fullCell*cells:
		e.Text += fmt.Sprintf(": below the %.1f V of a healthy, full one by no more than a voltmeter or a cold battery may make, and not surely sinking", fullCell*cells)
	}
	return e, true
}
