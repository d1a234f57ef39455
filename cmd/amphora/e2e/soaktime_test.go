//go:build linux

package e2e

import (
	"syscall"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// setClock sets the clock of the host while the program runs, as the network does.
func (h *house) setClock(to time.Time) {
	h.caughtUp()
	by := h.host.set(to)
	h.expect(h.places(), mark{flag: "marked", begins: "clock step: ", by: by})
}

// changeTime lets the host live through the night in which summer time begins or ends,
// and that is no event at all.
func (h *house) changeTime(f planned) {
	begins, ends := time.Date(2026, 3, 29, 1, 0, 0, 0, time.UTC), time.Date(2026, 10, 25, 1, 0, 0, 0, time.UTC)
	change := begins
	if h.host.wall().Sub(begins).Abs() < h.host.wall().Sub(ends).Abs() { // that night may just have been
		change = ends
	}
	h.setClock(change.Add(-time.Second / 2))
	h.more(f.size)
	testhelp.Until(h.t, "the change of time", func() bool { return h.host.wall().After(change) })
}

// sleep suspends the host with everything on it, but not the chargers. The ports are opened
// anew afterwards.
func (h *house) sleep(f planned) {
	h.caughtUp()
	process := h.program.cmd.Process
	require.NoError(h.t, process.Signal(syscall.SIGSTOP))
	h.host.pass(f.by)
	h.unheard(f.size)
	h.expect(h.places(), mark{flag: "marked", begins: "held up: ", by: f.by})
	h.expect(h.places(), mark{flag: "lost", begins: "the host slept"})
	h.expect(h.places(), mark{flag: "opened", begins: "opened "})
	require.NoError(h.t, process.Signal(syscall.SIGCONT))
	time.Sleep(time.Second) // the meters speak in their time, and none of them is silent
}

// reboot takes the power away. The host has no battery for its clock: it does not know
// the time until the network tells it, in mid-night.
func (h *house) reboot(f planned) {
	h.kill(f)
	set := func(is bool, metric float64) {
		h.t.Helper()
		for _, c := range household {
			testhelp.Until(h.t, "whether the clock of "+c.name+" is set", func() bool {
				return h.program.view(c.name).ClockSet == is && h.program.value(`amphora_clock_set{channel="`+c.name+`"}`) == metric
			})
		}
	}
	set(false, 0)
	h.more(f.size)
	h.setClock(time.Now())
	set(true, 1)
	assert.WithinDuration(h.t, time.Now(), h.host.wall(), time.Second)
}
