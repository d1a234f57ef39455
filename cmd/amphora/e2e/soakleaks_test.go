//go:build linux

package e2e

import (
	"fmt"

	"github.com/stretchr/testify/assert"
)

// life is one of the program, from a start to a kill or stop.
type life struct {
	log  *saidLines
	held []held // at the ends of its days
}

// held is what the program holds.
type held struct{ mebibytes, files, routines float64 }

func (l held) String() string {
	return fmt.Sprintf("%.1f MiB, %.0f files, %.0f goroutines", l.mebibytes, l.files, l.routines)
}

// measure notes what the program holds now, by its own word.
func (h *house) measure() {
	h.t.Helper()
	client.CloseIdleConnections()
	now := held{h.program.value("process_resident_memory_bytes") / (1 << 20), h.program.value("process_open_fds"), h.program.value("go_goroutines")}
	present := h.lives[len(h.lives)-1]
	present.held = append(present.held, now)
	h.tell("day %d ends: %v", h.day, now)
}

// checkLeaks compares the ends of the days of each life. Its first day is for warming
// up.
func (h *house) checkLeaks() {
	h.t.Helper()
	for n, l := range h.lives {
		if len(l.held) < 3 {
			continue
		}
		warm, last := l.held[1], l.held[len(l.held)-1]
		days := float64(len(l.held) - 2)
		assert.InDelta(h.t, warm.files, last.files, 3, "open files, life %d", n)
		assert.InDelta(h.t, warm.routines, last.routines, 3, "goroutines, life %d", n)
		if !raced {
			assert.LessOrEqual(h.t, last.mebibytes-warm.mebibytes, 8+days, "MiB within %.0f days, life %d", days, n)
			assert.Less(h.t, last.mebibytes, 64.0, "MiB, life %d", n)
		}
	}
}
