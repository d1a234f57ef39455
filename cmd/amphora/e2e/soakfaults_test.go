//go:build linux

package e2e

import (
	"strings"
	"syscall"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// inflict does what was planned, and waits until the program has named it.
func (h *house) inflict(f planned) {
	h.t.Helper()
	switch f.fault {
	case killed, killedUnheard:
		h.kill(f)
	case stopped:
		h.stop(f)
	case unplugged, away:
		h.unplug(f)
	case frozen:
		h.freeze(f)
	case refused, hung:
		h.beginOutage(f.fault == hung)
	case fullDisk:
		h.fillDisk(f)
	case noise:
		h.makeNoise(f)
	case torn:
		h.damage[f.channel].holes += 1 + f.size/4
	case scrambled:
		h.damage[f.channel].changes += 1 + f.size/4
	case setForward:
		h.setClock(h.host.wall().Add(f.by))
	case setBack:
		h.setClock(h.host.wall().Add(-f.by))
	case slept:
		h.sleep(f)
	case summerTime:
		h.changeTime(f)
	case rebooted:
		h.reboot(f)
	default:
		h.t.Fatalf("nobody knows how to do this: %s", f)
	}
}

func (h *house) kill(f planned) {
	h.caughtUp()
	time.Sleep(time.Second) // a kill may cost what was said in the last second, and no more
	before := h.places()
	h.more(f.size)
	h.program.kill()
	for _, p := range h.ports {
		p.free()
	}
	h.since(before, func(l *heard) { l.atStake = true })
	if f.fault != killed {
		h.unheard(f.size)
	}
	if f.fault == rebooted {
		h.host.reboot()
	}
	h.restarted(before)
}

// unheard lets the chargers go on for so many lines that nobody hears.
func (h *house) unheard(lines int) {
	for k := range h.deaf {
		h.deaf[k] += lines
	}
}

func (h *house) stop(f planned) {
	h.caughtUp()
	before := h.places()
	h.more(f.size)
	h.program.stop()
	h.expect(before, mark{flag: "lost", begins: "stopped"})
	h.since(before, func(l *heard) { l.cuttable = true })
	h.restarted(before)
}

// restarted begins the next life. Its counters begin anew.
func (h *house) restarted(since []int) {
	h.start(since)
	if h.outage != nil {
		h.outage.failures = 0
	}
}

func (h *house) unplug(f planned) {
	h.caughtUp() // what the system still holds is gone with the port
	name, port := household[f.channel].name, h.ports[f.channel]
	before := h.program.view(name).Source.Reconnects
	port.unplug()
	h.expectOf(f.channel, mark{flag: "lost"})
	testhelp.Until(h.t, "the loss of "+name, func() bool { s := h.program.view(name).Source; return !s.Up && s.State != "" })
	if f.fault == away {
		h.deaf[f.channel] += f.size
		h.more(f.size) // of the others
	}
	port.plug()
	h.expectOf(f.channel, mark{flag: "opened", begins: "opened "})
	testhelp.Until(h.t, "the return of "+name, func() bool { s := h.program.view(name).Source; return s.Up && s.Reconnects == before+1 })
}

// freeze holds the program up while lines come.
func (h *house) freeze(f planned) {
	h.caughtUp()
	process := h.program.cmd.Process
	require.NoError(h.t, process.Signal(syscall.SIGSTOP))
	h.more(f.size)
	require.NoError(h.t, process.Signal(syscall.SIGCONT))
}

func (h *house) fillDisk(f planned) {
	testhelp.Until(h.t, "the full disk", func() bool {
		h.disk.fill() // again, since old segments may have been compressed meanwhile
		h.more(1)
		status, body := h.program.get("/-/healthy")
		return status == 503 && strings.Contains(body, "no space left") // the logbook may have been first to find out
	})
	h.more(20 * f.size)
	h.disk.room()
	testhelp.Until(h.t, "health", func() bool { status, _ := h.program.get("/-/healthy"); return status == 200 })
	for _, c := range household {
		testhelp.Until(h.t, "what waited of "+c.name, func() bool {
			j := h.program.view(c.name).Journal
			return j.Degraded == "" && j.Pending == 0
		})
	}
}
