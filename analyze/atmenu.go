package analyze

import "fmt"

// A trickle from the first: it would take weeks. The charger waits at its menu.
// A float is the same current at a float's voltage, and is no fault.
const (
	menuRate    = 1. / 500 // of capacity per hour
	menuSeconds = 2 * 3600
	floatLead   = 2.2 // V a cell: a float is above
	floatLiIon  = 4.0
)

func (s *sight) atMenu(now *block) claim {
	elapsed := s.now - s.c.begin.t
	if s.o.Capacity <= 0 || s.c.bounds.of.cells == 0 || elapsed < menuSeconds*s.o.Patience.of(CodeStalled) || s.c.most > menuRate*s.o.Capacity/secondsPerHour {
		return claim{}
	}
	perCell := now.v / float64(s.c.bounds.of.cells)
	if id := s.c.bounds.of.chemistry; !(id.Lead() && perCell < floatLead || id == LiIon && perCell < floatLiIon) {
		return claim{}
	}
	return claim{holds: true, since: s.c.begin.t, message: fmt.Sprintf("only %.3g A for %s at %.2f V: at this rate %.4g Ah would take %.0f days. The charger has not begun: it waits at its menu, or does not know the battery. Look at what it shows",
		now.i, clock(elapsed), now.v, ampHours(s.o.Capacity), s.o.Capacity/now.i/86400)}
}
