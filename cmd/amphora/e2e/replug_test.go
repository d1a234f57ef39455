//go:build linux

package e2e

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// descriptors is how many files the program holds open.
func (p *program) descriptors() int {
	p.t.Helper()
	list, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", p.cmd.Process.Pid))
	require.NoError(p.t, err)
	return len(list)
}

// A cable that comes loose all night long: each time another port comes back
// behind the same name, and the charge goes on as one.
func TestUnpluggedAndPluggedAgain(t *testing.T) {
	t.Parallel()
	times := 12 // each costs the second after which the port is tried again
	if long {
		times = 100
	}
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source())
	night := mower(30)
	p := serve(t, at.config)
	next := 0
	say := func(lines int) {
		for range lines {
			port.say(night.lines[next])
			next++
		}
		// What the system still holds is gone with the port.
		until(t, "all read", func() bool { return p.view("bench").Source.Lines >= next })
	}
	up := func(want bool) {
		t.Helper()
		until(t, fmt.Sprint("source up: ", want), func() bool { return p.view("bench").Source.Up == want })
	}
	up(true)
	say(60)
	client.CloseIdleConnections()
	before := p.descriptors()
	for range times {
		port.unplug()
		pulled := time.Now()
		up(false)
		if long {
			assert.Less(t, time.Since(pulled), 2*time.Second, "noticed at once")
		}
		port.plug()
		up(true)
		say(10)
	}
	c := p.view("bench")
	assert.Equal(t, times, c.Source.Reconnects)
	client.CloseIdleConnections()
	until(t, "as many open files as before", func() bool { return p.descriptors() <= before })
	say(len(night.lines) - next)
	p.untilRead("bench", night.end)
	require.Len(t, p.sessions(), 1)
	p.stop()

	lost := make(map[string]bool)
	for _, s := range port.said {
		lost[s.text] = true
	}
	for _, r := range recorded(t, at.data, "bench") {
		delete(lost, r.text)
	}
	assert.Empty(t, lost, "what was said while the port was there")
}

func TestPortThatIsMissingAtTheStart(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	port.unplug()
	at.channel(t, "bench", port.source())
	p := serve(t, at.config)
	until(t, "the reason on the page", func() bool { return p.view("bench").Source.State != "" })
	c := p.view("bench")
	assert.False(t, c.Source.Up)
	assert.Contains(t, c.Source.State, port.link, "names the port")
	port.plug()
	until(t, "the port found", func() bool { return p.view("bench").Source.Up })
	p.stop()
}
