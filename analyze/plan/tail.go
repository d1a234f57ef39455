package plan

import (
	"fmt"

	"amphora/analyze"
)

// planTail fills in the current in A at which the battery is full. Where the planned
// current is hardly higher, the battery is never seen to be full by it: then there is no
// such current, and a warning says what ends the charge instead.
func planTail(in Input, c capacities, amps float64, hours bounds, a *Advice) {
	share := tailShare(in.Chemistry)
	if share == 0 {
		return
	}
	out, tail := &a.Charger, share*c.usual/hour
	if drownsTail(amps, tail) {
		a.Warnings = append(a.Warnings, fmt.Sprintf("%.3g A is not clearly more than the %.3g A that the current of a full battery falls to (%g %% of the capacity), so the current will not show when it is full: it takes %s, and only that time or the charge that went in can end it", amps, tail, 100*share, spokenHours(hours)))
		out.Reasons = append(out.Reasons, Reason{"tail_a", "the planned current is hardly higher than the tail, if at all, so it tells no end", arithmetic})
		return
	}
	out.TailA = analyze.Number(tail)
	out.Reasons = append(out.Reasons, Reason{"tail_a", fmt.Sprintf("at the held voltage the battery is full when the current has fallen to %g %% of the capacity", 100*share), "battery makers' texts and data sheets"})
}
