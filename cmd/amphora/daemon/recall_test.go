package daemon

import (
	"context"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is told again with the right decoder, and takes longer than the source may wait, is
// left off. The charge is recorded further, and a restart tells all of it.
func TestATellingThatIsLeftOffIsNoReplayForEver(t *testing.T) {
	data := t.TempDir()
	m := &meter{clock: testhelp.NewClock(evening), lines: 6000}
	d := recording(t, data, m.clock, m)
	m.at = map[int]func(){5000: func() {
		c := d.channels[0]
		c.mu.Lock()
		defer c.mu.Unlock()
		assert.NoError(t, c.record.Sync(t.Context()))
		over, cancel := context.WithCancel(t.Context())
		cancel()
		assert.ErrorIs(t, c.tell(over, c.takeBack()), context.Canceled)
		c.writePlace()
	}}
	require.NoError(t, d.Run(t.Context()))
	stored := sessionsOf(t, d)
	require.Len(t, stored, 1)
	assert.InDelta(t, m.lines, float64(stored[0].Summary.EndS), 2)
	assert.InDelta(t, 2*(4096-60+1000)/3600.0, float64(stored[0].Summary.ChargeInAh), 0.02, "and what was not told is a gap")
	require.NoError(t, d.Close())

	d = recorded(t, data, m.clock, &speaker{})
	defer func() { require.NoError(t, d.Close()) }()
	stored = sessionsOf(t, d)
	require.Len(t, stored, 1)
	assert.InDelta(t, 2*float64(m.lines-60)/3600, float64(stored[0].Summary.ChargeInAh), 0.01)
}
