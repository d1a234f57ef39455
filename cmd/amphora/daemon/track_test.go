package daemon

import (
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A charge, half a day of nothing, and another in which the program is started anew: what
// had flowed in the first is no part of the second.
func TestARestartTellsNoCurrentOfTheNightBefore(t *testing.T) {
	const amps, every, begins = 2, 20, 2500
	data, clock, said := t.TempDir(), testhelp.NewClock(evening), 0
	for _, until := range []int{2800, 3000} {
		m := &meter{clock: clock, lines: until, said: said, pause: [2]int{500, begins}, every: every * time.Second}
		handed(t, data, m, newBasket(), false)
		said = until
	}
	d := recording(t, data, clock, &speaker{}, ofTheMower)
	defer func() { require.NoError(t, d.Close()) }()
	c, ok := d.Hub().Get("bench")
	require.True(t, ok)
	require.NotNil(t, c.Session)
	assert.InDelta(t, amps*every*(float64(said-begins)-0.5)/3600, float64(c.Session.ChargeInAh), 1e-6)
}
