//go:build linux

package e2e

import (
	"fmt"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
)

// life is one of the program, from a start to a kill or stop.
type life struct {
	log  *testhelp.Log
	held []held // at the ends of its days
}

// held is what the program holds. Its heap is what was in use after the last collection,
// so that it does not matter how much garbage there is at the moment.
type held struct{ resident, heap, files, routines float64 } // MiB, MiB, counts

func (l held) String() string {
	return fmt.Sprintf("%.1f MiB, %.2f of them heap, %.0f files, %.0f goroutines", l.resident, l.heap, l.files, l.routines)
}

// measure notes what the program holds now, by its own word.
func (h *house) measure() {
	h.t.Helper()
	client.CloseIdleConnections()
	const mebibyte, thrift = 1 << 20, 1.4 // the next collection is due when so many times as much is in use
	now := held{
		h.program.value("process_resident_memory_bytes") / mebibyte,
		h.program.value("go_memstats_next_gc_bytes") / mebibyte / thrift,
		h.program.value("process_open_fds"), h.program.value("go_goroutines"),
	}
	present := h.lives[len(h.lives)-1]
	present.held = append(present.held, now)
	h.tell("day %d ends: %v", h.day, now)
}

// checkLeaks looks whether any life of the program held ever more. At each moment there
// may be much that is on its way, and more on a busy machine; so it compares the least
// of the early days with the least of the late ones. The first day is for warming up.
func (h *house) checkLeaks() {
	h.t.Helper()
	for n, l := range h.lives {
		if len(l.held) < 1+2*leastDays {
			continue
		}
		days := l.held[1:]
		third := max(len(days)/3, leastDays)
		early, late := least(days[:third]), least(days[len(days)-third:])
		apart := float64(len(days) - third)
		h.tell("life %d: at least %v early, %v late, %v days apart", n, early, late, apart)
		assert.LessOrEqual(h.t, late.files-early.files, 3.0, "open files, life %d", n)
		assert.LessOrEqual(h.t, late.routines-early.routines, 3.0, "goroutines, life %d", n)
		if !raced {
			assert.LessOrEqual(h.t, late.heap-early.heap, 1+0.25*apart, "MiB of heap within %.0f days, life %d", apart, n)
			assert.LessOrEqual(h.t, late.resident-early.resident, 8+apart, "MiB within %.0f days, life %d", apart, n)
			assert.Less(h.t, late.resident, 64.0, "MiB at the least, life %d", n)
		}
	}
}

const leastDays = 3

// least is the least of each.
func least(all []held) held {
	l := all[0]
	for _, o := range all[1:] {
		l = held{min(l.resident, o.resident), min(l.heap, o.heap), min(l.files, o.files), min(l.routines, o.routines)}
	}
	return l
}
