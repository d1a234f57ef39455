package daemon

import (
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/notify"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A channel whose journal cannot be used is left out, and that is told wherever people look; the
// others are recorded. Once it can be used it is recorded again, and nothing says otherwise.
func TestAChannelWhoseJournalCannotBeUsedIsLeftOut(t *testing.T) {
	data, l := t.TempDir(), &letters{}
	broken := filepath.Join(data, "journal", "broken")
	require.NoError(t, os.MkdirAll(filepath.Dir(broken), 0o750))
	require.NoError(t, os.WriteFile(broken, nil, 0o600))
	two := func(first capture.Stream) func(*Config) {
		return func(c *Config) {
			c.Channels = append([]Settings{{Name: "broken", Decoder: "auto", Source: scripted(first), Options: analyze.Options{Channel: "broken"}}}, c.Channels...)
			c.Notify.Targets = []notify.Target{l}
		}
	}
	m := &meter{clock: testhelp.NewClock(evening), lines: 4000, pause: [2]int{600, 3000}}
	d := recorded(t, data, m.clock, m, two(&meter{clock: m.clock, lines: 10}))
	assert.ErrorContains(t, d.Degraded(), `channel "broken" is not recorded until the next start`)
	c, _ := d.Hub().Get("broken")
	assert.Equal(t, "not recorded until the next start", c.Source.State)
	assert.Contains(t, c.Journal.Degraded, broken)
	assert.Len(t, sessionsOf(t, d), 2, "of the other channel")
	require.NoError(t, d.Close()) // it delivers what waits
	assert.Contains(t, l.told(), "raised broken journal-degraded")

	require.NoError(t, os.Remove(broken))
	late := &meter{clock: m.clock, lines: 10}
	d = recorded(t, data, m.clock, &speaker{}, two(late))
	assert.NoError(t, d.Degraded())
	c, _ = d.Hub().Get("broken")
	assert.Equal(t, 10, c.Source.Lines)
	require.NoError(t, d.Close())

	// Where it is the only one, there is nothing to run for.
	require.NoError(t, os.RemoveAll(broken))
	require.NoError(t, os.WriteFile(broken, nil, 0o600))
	_, err := Open(t.Context(), Config{Data: data, Clock: m.clock, Log: quiet(), Channels: []Settings{{Name: "broken", Decoder: "auto", Source: scripted(late)}}})
	require.ErrorContains(t, err, `channel "broken"`)
}

// told names what was told, in the order in which it came.
func (l *letters) told() (all []string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, n := range l.got {
		for _, e := range n.Events {
			all = append(all, string(e.Kind)+" "+e.Channel+" "+e.Code)
		}
	}
	return all
}
