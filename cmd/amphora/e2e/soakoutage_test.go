//go:build linux

package e2e

import "amphora/dashboards/testhelp"

// outage is a push target that is dead.
type outage struct{ failures float64 } // that the program had counted before

// beginOutage lets it refuse all, or take calls and never answer, to the day's end.
func (h *house) beginOutage(hangs bool) {
	if h.outage != nil {
		return
	}
	h.outage = &outage{h.failures()}
	if hangs {
		h.shelf.hang()
	}
	h.shelf.open.Store(false)
}

// endOutage gives the target its life again, once the program has said that it was
// dead; where it only hung, that is told when its calls end. Where no line came meanwhile, since
// the day was over, there was nothing to push, and nothing waits.
func (h *house) endOutage() {
	if h.outage == nil {
		return
	}
	h.caughtUp()
	h.shelf.letGo()
	testhelp.Until(h.t, "the dead push target", func() bool {
		return h.failures() > h.outage.failures || h.program.value("amphora_push_pending_points") == 0
	})
	h.shelf.open.Store(true)
	h.outage = nil
}

func (h *house) failures() float64 { return h.program.value("amphora_push_failures_total") }
