//go:build linux

package e2e

import (
	"fmt"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// series are the lines of the metrics page that begin with a text.
func (p *program) series(begins string) (found []string) {
	p.t.Helper()
	status, page := p.get("/metrics")
	require.Equal(p.t, 200, status)
	for line := range strings.Lines(page) {
		if strings.HasPrefix(line, begins) {
			found = append(found, strings.TrimSpace(line))
		}
	}
	return found
}

// value is that of the only series that begins with a text.
func (p *program) value(begins string) float64 {
	p.t.Helper()
	found := p.series(begins)
	require.Len(p.t, found, 1, begins)
	x, err := strconv.ParseFloat(found[0][strings.LastIndex(found[0], " ")+1:], 64)
	require.NoError(p.t, err)
	return x
}

// The page as the tool of Prometheus' makers judges it, halfway through a night; then
// the meter is unplugged: its readings leave the page, and what was charged does not.
func TestMetricsOfANightThatIsUnplugged(t *testing.T) {
	t.Parallel()
	promtool := testhelp.Needed(t, "promtool", "prometheus")
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source(), "limits: {silence: 2s}")
	p := serve(t, at.config)
	night := mower(20)
	half := night.lines[:len(night.lines)/2]
	port.sayAll(half)
	p.untilHeard("bench", len(half))
	testhelp.Until(t, "the charge on the page", func() bool {
		return len(p.series(`amphora_charge_coulombs_total{channel="bench",direction="in"} `)) == 1
	})

	_, page := p.get("/metrics")
	check := exec.Command(promtool, "check", "metrics")
	check.Stdin = strings.NewReader(page)
	said, err := check.CombinedOutput()
	require.NoError(t, err, "%s", said)
	assert.Empty(t, strings.TrimSpace(string(said)))
	for _, name := range []string{"process_resident_memory_bytes ", "process_start_time_seconds ", "go_goroutines "} {
		assert.Len(t, p.series(name), 1, name)
	}

	charged := p.value(`amphora_charge_coulombs_total{channel="bench",direction="in"}`)
	require.Positive(t, charged)
	rest := night.lines[len(half):]
	testhelp.Until(t, "a fresh reading", func() bool {
		port.say(rest[0])
		rest = rest[1:]
		return len(p.series("amphora_voltage_volts")) == 1
	})
	port.unplug()
	testhelp.Until(t, "the source gone", func() bool { return p.value("amphora_source_up") == 0 })
	testhelp.Until(t, "the readings gone", func() bool {
		return p.series("amphora_voltage_volts") == nil && p.series("amphora_current_amperes") == nil
	})
	assert.GreaterOrEqual(t, p.value(`amphora_charge_coulombs_total{channel="bench",direction="in"}`), charged)
	assert.Len(t, p.series("amphora_last_sample_timestamp_seconds"), 1)
	assert.Zero(t, p.value(`amphora_stage{channel="bench",stage="idle"}`))
	p.stop()
}

// Nothing of a channel stays on the page once it is no longer configured.
func TestSeriesOfARemovedChannelGo(t *testing.T) {
	t.Parallel()
	at, port, other := newPlace(t), newPort(t), newPort(t)
	at.channel(t, "bench", port.source())
	at.channel(t, "shed", other.source())
	p := serve(t, at.config)
	port.say("V=12.80 I=1.00")
	other.say("V=12.80 I=1.00")
	testhelp.Until(t, "both channels synced", func() bool {
		return len(p.series(`amphora_journal_sync_seconds_count{channel="bench"}`)) == 1 &&
			len(p.series(`amphora_journal_sync_seconds_count{channel="shed"}`)) == 1
	})

	at.channels = at.channels[:1]
	at.write(t)
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGHUP))
	testhelp.Until(t, "the new page", func() bool { return p.log.Count("msg=recording") == 2 })
	p.page = p.newestPage()
	_, page := p.get("/metrics")
	assert.NotContains(t, page, "shed")
	assert.Contains(t, page, `amphora_source_up{channel="bench"}`)
	p.stop()
}

// A source that says something else in each line makes no more series.
func TestWordsMakeNoSeries(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source(), "decoder: columns separator=comma time=1:s voltage=2:V current=3:A")
	p := serve(t, at.config)
	say := func(from, to int) {
		for n := from; n < to; n++ {
			port.say(fmt.Sprintf("word%d,%dvolts,of word%d", n, n, n))
		}
		p.untilHeard("bench", to)
	}
	say(0, 100)
	few := len(p.series("amphora_"))
	say(100, 20_000)
	assert.Len(t, p.series("amphora_"), few)
	p.stop()
}
