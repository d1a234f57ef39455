//go:build linux

package e2e

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// broker is a real one of somebody else's, on a port of its own.
type broker struct {
	*testhelp.Mosquitto
	t testing.TB
}

func newBroker(t testing.TB) *broker {
	t.Helper()
	return &broker{testhelp.NewMosquitto(t), t}
}

func (b *broker) setting(more string) string {
	return fmt.Sprintf("push: [{mqtt: {broker: %q, topic: home/amphora%s}}]\n", b.Address(), more)
}

// retained is what it has on a topic, as a client of somebody else's is told; nil
// where there is nothing.
func (b *broker) retained(topic string) map[string]any {
	b.t.Helper()
	out, _ := exec.Command("mosquitto_sub", "-h", "127.0.0.1", "-p", b.Port(), "-t", topic, "-C", "1", "-W", "1").Output()
	if len(out) == 0 {
		return nil
	}
	var payload map[string]any
	require.NoError(b.t, json.Unmarshal(out, &payload), "%s", out)
	return payload
}

// topics are all on which it has something.
func (b *broker) topics() string {
	b.t.Helper()
	return strings.Join(slices.Sorted(maps.Keys(b.Retained())), "\n")
}

// A night, seen through a broker: readings, the charge that ended, our own death, our
// return, and a channel that is taken out.
func TestNightSeenThroughABroker(t *testing.T) {
	t.Parallel()
	b, at, port, other := newBroker(t), newPlace(t), newPort(t), newPort(t)
	at.settings = b.setting(", discovery: home")
	at.channel(t, "bench", port.source(), "battery: mower")
	at.channel(t, "shed 2", other.source())
	p := serve(t, at.config)
	night := mower(20)
	port.sayAll(night.lines[:600])
	testhelp.Until(t, "a reading", func() bool { r := b.retained("home/amphora/bench/reading"); return r != nil && r["volts"] != nil })
	assert.Equal(t, "online", b.retained("home/amphora/state")["state"])
	testhelp.Until(t, "the stage", func() bool { return b.retained("home/amphora/bench/stage")["stage"] == "constant-current" })
	assert.Equal(t, "mower", b.retained("home/amphora/bench/charge")["battery"])
	require.Len(t, p.view("bench").Push, 1)
	assert.Equal(t, "mqtt "+b.Host, p.view("bench").Push[0].Target)
	_, metrics := p.get("/metrics")
	assert.Contains(t, metrics, `amphora_push_pending_points{target="mqtt `+b.Host+`"}`)
	assert.Contains(t, metrics, `amphora_push_failures_total{target="mqtt `+b.Host+`"} 0`)

	p.kill()
	testhelp.Until(t, "the will", func() bool { return b.retained("home/amphora/state")["state"] == "offline" })
	assert.Nil(t, b.retained("home/amphora/state")["time"], "nobody knows when")

	p = serve(t, at.config)
	testhelp.Until(t, "us again", func() bool { return b.retained("home/amphora/state")["state"] == "online" })
	port.sayAll(night.lines[600:])
	p.untilRead("bench", night.end)
	testhelp.Until(t, "the charge", func() bool { return b.retained("home/amphora/bench/session") != nil })
	session := b.retained("home/amphora/bench/session")["session"].(map[string]any)
	assert.Equal(t, "complete", session["outcome"])
	assert.Equal(t, "mower", session["battery"])

	assert.Contains(t, b.topics(), "shed%202/source")
	assert.Contains(t, b.topics(), "shed_202_volts/config")
	at.channels = at.channels[:1]
	at.write(t)
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGHUP))
	testhelp.Until(t, "the channel to be taken back", func() bool { return !strings.Contains(b.topics(), "shed") })

	promised(t, "the stop", p.stop(), 5*time.Second)
	state := b.retained("home/amphora/state")
	assert.Equal(t, "offline", state["state"])
	assert.NotNil(t, state["time"])
	assert.Nil(t, b.retained("home/amphora/bench/reading")["volts"])
}

// A broker that is dead in one way or another does not keep us from stopping.
func TestStopsInTimeWhateverTheBrokerDoes(t *testing.T) {
	t.Parallel()
	// A broker that says so much, and no word after that.
	saying := func(first ...byte) string {
		return testhelp.Serve(t, func(c net.Conn) {
			_, _ = c.Write(first)
			_, _ = io.Copy(io.Discard, c) // until we hang up
		})
	}
	for name, address := range map[string]string{"silent": saying(), "welcoming": saying(0x20, 3, 0, 0, 0), "closed": "127.0.0.1:1"} {
		at, port := newPlace(t), newPort(t)
		at.settings = fmt.Sprintf("push: [{mqtt: {broker: \"mqtt://%s\", topic: amphora}}]\n", address)
		at.channel(t, "bench", port.source())
		p := serve(t, at.config)
		port.sayAll(mower(20).lines[:100])
		p.untilHeard("bench", 100)
		testhelp.Until(t, "what waits", func() bool { return p.view("bench").Push[0].Pending > 0 })
		promised(t, "the stop with a broker that is "+name, p.stop(), 5*time.Second)
	}
}
