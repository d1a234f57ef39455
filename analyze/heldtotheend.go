package analyze

import "math"

// A battery whose voltage ends steeply, as that of LiFePO4 does, may be at its charger's limit for less than a
// minute, or for some rows of a slow log, until its charger ends the charge. While it goes on, so little is no
// sight of a limit; once the current has stopped, it is: the voltage, which had risen until then, went no further
// and not back, while the current fell from row to row to little. Common practice, no source.
const (
	briefRows  = 3   // the last with the full current among them
	briefRises = 3   // times what the voltage moved in the stretch: so much it rose in as long before it
	briefLeft  = 0.5 // of the current before
	briefBegun = 0.9 // of the current before: what is below has begun to fall
)

// heldToTheEnd looks for a voltage that was held for a short while until the current stopped.
func heldToTheEnd(tr *trace, volts *meter) hold {
	n := tr.steady()
	from := n - 1
	for from > 0 && tr.bins[from-1].i() > tr.bins[from].i() {
		from--
	}
	for from < n && tr.bins[from].i() > briefBegun*tr.bins[max(from-1, 0)].i() {
		from++
	}
	if from < 1 || n-from < briefRows-1 || tr.bins[n-1].i() > briefLeft*tr.bins[from-1].i() {
		return hold{}
	}
	level, _, _ := tr.mean(from, n)
	low, high := level, level
	for k := from; k < n; k++ {
		low, high = min(low, tr.bins[k].v()), max(high, tr.bins[k].v())
	}
	before := tr.index(tr.bins[from-1].t0 - (tr.bins[n-1].t1 - tr.bins[from].t0))
	sure := max(3*volts.noise(), 1.2*volts.step())
	if n-from < briefRows && math.Abs(tr.bins[from-1].v()-level) > sure {
		return hold{}
	}
	moved := max(high-low-sure, unresolved*volts.step())
	fell := 1 - tr.bins[n-1].i()/tr.bins[from-1].i()
	if fell*level < atOnceLine*moved || level-tr.bins[before].v() < max(briefRises*moved, 2*sure) {
		return hold{}
	}
	first, last := &tr.bins[from], &tr.bins[n-1]
	return hold{found: true, from: first.t0, volts: level, seen: last.t1, slack: max(heldSlack*level, sure), first: first.i(), last: last.i(), least: last.i(), kept: last.t1, fed: level}
}
