//go:build linux

package e2e

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"amphora/capture"
	"amphora/dashboards/testhelp"

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
	chance := rand.New(rand.NewPCG(6, 6))
	clock := capture.SystemClock{}
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
		p.untilHeard("bench", next)
	}
	up := func(want bool) {
		t.Helper()
		testhelp.Until(t, fmt.Sprint("source up: ", want), func() bool { return p.view("bench").Source.Up == want })
	}
	up(true)
	say(60)
	client.CloseIdleConnections()
	before := p.descriptors()
	var pulled, plugged []time.Duration
	var away, busy time.Duration
	for range times {
		pulled = append(pulled, clock.Boot())
		port.unplug()
		up(false)
		if long { // 0.1 to 10 s, short as often as long
			began, took := clock.Boot(), p.spent()
			time.Sleep(time.Duration(float64(100*time.Millisecond) * math.Pow(100, chance.Float64())))
			away, busy = away+clock.Boot()-began, busy+p.spent()-took
		}
		plugged = append(plugged, clock.Boot())
		port.plug()
		up(true)
		say(10)
	}
	c := p.view("bench")
	assert.Equal(t, times, c.Source.Reconnects)
	client.CloseIdleConnections()
	testhelp.Until(t, "as many open files as before", func() bool { return p.descriptors() <= before })
	say(len(night.lines) - next)
	p.untilRead("bench", night.end)
	require.Len(t, p.sessions(), 1)
	p.stop()

	lost := make(map[string]bool)
	for _, s := range port.said {
		lost[s.text] = true
	}
	var noticed, returned []time.Duration
	for _, r := range recorded(t, at.data, "bench") {
		delete(lost, r.text)
		switch r.flags {
		case capture.Lost:
			noticed = append(noticed, r.boot)
		case capture.Opened:
			returned = append(returned, r.boot)
		}
	}
	assert.Empty(t, lost, "what was said while the port was there")
	require.Len(t, noticed, times+1, "the last at the stop")
	require.Len(t, returned, times+1, "the first at the start")
	late, back := latest(pulled, noticed), latest(plugged, returned[1:])
	t.Logf("noticed within %v, read again within %v", late, back)
	if long {
		share := float64(busy) / float64(away)
		t.Logf("%.3f %% of a core in %v away", 100*share, away)
		assert.Less(t, late, time.Second)
		assert.Less(t, back, 2*time.Second)
		assert.Less(t, share, 0.02)
	}
}

// latest is the longest time between a cause and what followed it.
func latest(causes, effects []time.Duration) (most time.Duration) {
	for k, at := range causes {
		most = max(most, effects[k]-at)
	}
	return most
}

func TestPortThatIsMissingAtTheStart(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	port.unplug()
	at.channel(t, "bench", port.source())
	p := serve(t, at.config)
	testhelp.Until(t, "the reason on the page", func() bool { return p.view("bench").Source.State != "" })
	c := p.view("bench")
	assert.False(t, c.Source.Up)
	assert.Contains(t, c.Source.State, port.link, "names the port")
	port.plug()
	p.untilUp("bench")
	p.stop()
}
