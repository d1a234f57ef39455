//go:build linux

package e2e

import (
	"fmt"
	"strconv"
	"syscall"
	"testing"
	"time"

	"amphora/analyze/madeup"
	"amphora/capture/journal"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadySoonAfterTheStart(t *testing.T) {
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source())
	best := time.Hour
	for range 5 {
		began := time.Now()
		p := serve(t, at.config)
		status, _ := p.get("/-/ready")
		best = min(best, time.Since(began))
		assert.Equal(t, 200, status)
		p.stop()
	}
	promised(t, "ready, the best of five", best, 150*time.Millisecond)
}

func TestStopUnderLoadLeavesNoTornTail(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source())
	night := mower(20)
	rounds, longest := 3, time.Duration(0)
	if long {
		rounds = 200
	}
	for range rounds {
		p := serve(t, at.config)
		stop, talked := make(chan struct{}), make(chan struct{})
		go func() {
			defer close(talked)
			for k := 0; ; k = (k + 1) % len(night.lines) {
				select {
				case <-stop:
					return
				default:
				}
				_ = port.master.SetWriteDeadline(time.Now().Add(100 * time.Millisecond))
				_, _ = port.master.WriteString(night.lines[k] + "\r\n") // full while nobody reads
			}
		}()
		p.untilHeard("bench", 3000)
		took := p.stop()
		close(stop)
		<-talked
		longest = max(longest, took)
		assert.Zero(t, p.log.Count("level=WARN msg=\"journal"), p.log.String())
		reports, err := journal.Verify(at.data)
		require.NoError(t, err)
		for _, r := range reports {
			assert.Empty(t, r.Damage)
		}
	}
	promised(t, fmt.Sprintf("the longest of %d stops", rounds), longest, 5*time.Second)
}

func TestTwoDaemonsOnOneFolder(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source())
	first := serve(t, at.config)
	began := time.Now()
	status, _, said := amphora(t, "serve", "--config", at.config)
	assert.Equal(t, 1, status)
	promised(t, "the refusal", time.Since(began), 5*time.Second)
	assert.Contains(t, said, "process "+strconv.Itoa(first.cmd.Process.Pid), "it names the first")
	assert.Contains(t, said, at.data)
	first.stop()
}

func TestConfigurationReadAnew(t *testing.T) {
	t.Parallel()
	at, port, other := newPlace(t), newPort(t), newPort(t)
	at.channel(t, "bench", port.source())
	p := serve(t, at.config)
	sound := at.channels[0]

	at.channels[0] = "  - nam: bench\n"
	at.write(t)
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGHUP))
	testhelp.Until(t, "the refusal", func() bool { return p.log.Count("the old one stays") == 1 })
	assert.Contains(t, p.log.String(), at.config+":4", "says where")
	assert.Equal(t, "bench", p.view("bench").Name)

	at.channels[0] = sound
	at.channel(t, "shed", other.source(), "battery: mower")
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGHUP))
	testhelp.Until(t, "the new page", func() bool { return p.log.Count("msg=recording") == 2 })
	p.page = p.newestPage()
	p.untilUp("shed")
	assert.EqualValues(t, "mower", p.view("shed").Battery)
	p.stop()
}

// A long unfinished charge is replayed at a start: 20 hours with a row a second.
func TestReplayOfALongNight(t *testing.T) {
	n := madeup.Named("mower-float")
	n.Charger.FloatFor = 30 * 3600 // so that it still goes on after 20 h
	n.Meter.Every = 1
	night := play(n)
	night.lines = night.lines[:20*3600]
	at := newPlace(t)
	at.channel(t, "bench", "file: {path: "+night.file(t)+"}")
	p := serve(t, at.config)
	p.untilHeard("bench", len(night.lines))
	p.stop()

	best := time.Hour
	for range 3 {
		began := time.Now()
		p = serve(t, at.config)
		best = min(best, time.Since(began))
		assert.GreaterOrEqual(t, p.view("bench").Rows, len(night.lines)-10, "all of it")
		p.stop()
	}
	t.Logf("20 hours at a row a second replayed %v after the start", best)
}
