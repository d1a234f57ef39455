//go:build linux

package e2e

import (
	"fmt"
	"testing"
	"time"

	"amphora/dashboards/push/influx/stores"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// 64 channels at ten lines a second each: no line is lost. With AMPHORA_LONG it goes
// on for a minute, and memory and processor time are held to their limits.
func TestManyChannels(t *testing.T) {
	const channels, every = 64, 100 * time.Millisecond
	lasts := 10 * time.Second
	if long {
		lasts = time.Minute
	}
	at := newPlace(t)
	ports := make([]*port, channels)
	for k := range ports {
		ports[k] = newPort(t)
		at.channel(t, fmt.Sprintf("c%02d", k), ports[k].source())
	}
	p := serve(t, at.config)
	for k := range ports {
		p.untilUp(fmt.Sprintf("c%02d", k))
	}
	night := mower(2) // so that a minute already sees a charge
	lines := night.lines[len(night.lines)/20:]
	before, began := p.spent(), time.Now()
	for n := 0; time.Since(began) < lasts; n++ {
		for _, port := range ports {
			port.say(lines[n])
		}
		time.Sleep(time.Until(began.Add(time.Duration(n+1) * every)))
	}
	share := (p.spent() - before).Seconds() / time.Since(began).Seconds()
	resident := p.resident()
	t.Logf("%d channels: %.1f %% of a core, %.1f MiB resident, after %v", channels, 100*share, resident, lasts)
	if long && !raced {
		assert.Less(t, share, 0.5, "of one core")
		assert.Less(t, resident, 64.0, "MiB")
	}
	for k, port := range ports { // what the system still holds at the stop nobody has heard
		p.untilHeard(fmt.Sprintf("c%02d", k), len(port.said))
	}
	p.stop()
	for k, port := range ports {
		have := make(map[string]int)
		for _, r := range recorded(t, at.data, fmt.Sprintf("c%02d", k)) {
			have[r.text]++
		}
		for _, s := range port.said {
			require.Equal(t, 1, have[s.text], "channel %d: %s", k, s.text)
		}
	}
}

// One channel at a line a second is next to nothing to do.
func TestOneQuietChannel(t *testing.T) {
	if !long {
		t.Skip("measures for a minute; set AMPHORA_LONG=1")
	}
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source())
	p := serve(t, at.config)
	p.untilUp("bench")
	night := mower(2)
	before, began := p.spent(), time.Now()
	for n := range 60 {
		port.say(night.lines[n])
		time.Sleep(time.Until(began.Add(time.Duration(n+1) * time.Second)))
	}
	share := (p.spent() - before).Seconds() / time.Since(began).Seconds()
	resident := p.resident()
	t.Logf("one channel: %.2f %% of a core, %.1f MiB resident", 100*share, resident)
	if !raced {
		assert.Less(t, share, 0.005, "of one core")
		assert.Less(t, resident, 25.0, "MiB")
	}
	p.stop()
}

func (p *program) spent() time.Duration { return stores.Spent(p.t, p.cmd.Process.Pid) }

func (p *program) resident() float64 { return stores.Resident(p.t, p.cmd.Process.Pid) }
