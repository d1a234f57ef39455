package daemon

import (
	"cmp"
	"fmt"
	"io"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// meter speaks once a second of a clock that is moved by it alone: a minute of
// nothing, then 2 A. It ends after so many lines.
type meter struct {
	clock *testhelp.Clock
	lines int
	said  int
	pause [2]int         // lines between which no current flows, if any
	every time.Duration  // between two lines, where not a second
	at    map[int]func() // what happens before a line
}

func (m *meter) Read(p []byte) (int, error) {
	if m.said == m.lines {
		return 0, io.EOF
	}
	m.clock.Advance(cmp.Or(m.every, time.Second))
	if do := m.at[m.said]; do != nil {
		do()
	}
	volts, amps := 12.4, 0.0
	if m.said >= 60 && (m.said < m.pause[0] || m.said >= m.pause[1]) {
		volts, amps = 12.9+float64(m.said)/10_000, 2
	}
	m.said++
	return copy(p, fmt.Sprintf("V=%.3f A=%.3f\n", volts, amps)), nil
}

func (*meter) Close() error   { return nil }
func (*meter) String() string { return "a meter" }

// listened runs a daemon on the meter to its end, and returns the sessions of the
// logbook and the live view of the charge.
func listened(t *testing.T, m *meter) ([]logbook.Session, analyze.Session) {
	t.Helper()
	d := recorded(t, t.TempDir(), m.clock, m)
	defer func() { require.NoError(t, d.Close()) }()
	c, ok := d.Hub().Get("bench")
	require.True(t, ok)
	require.NotNil(t, c.Session)
	assert.InDelta(t, float64(c.Session.ChargeInAh), float64(c.Totals.ChargeInAh), 1e-9, "counted once")
	return sessionsOf(t, d), *c.Session
}

// A host without a battery for its clock starts in 1970, and the network sets it
// later: before the charge is known as one, or after it was stored by its old date.
func TestWallClockThatIsSetDuringACharge(t *testing.T) {
	const lines = 3600
	steady, want := listened(t, &meter{clock: testhelp.NewClock(evening), lines: lines})
	require.Len(t, steady, 1)
	for _, after := range []int{40, 600} {
		t.Run(fmt.Sprintf("after %d s", after), func(t *testing.T) {
			m := &meter{clock: testhelp.NewClock(time.Unix(0, 0).UTC()), lines: lines}
			jumped := time.Time{}
			m.at = map[int]func(){after: func() {
				m.clock.Step(56 * 365 * 24 * time.Hour)
				jumped = m.clock.Wall()
			}}
			stored, got := listened(t, m)
			require.Len(t, stored, 1, "one session, the old name gone")
			assert.Equal(t, got.ID, stored[0].Summary.ID)
			require.NotNil(t, got.Started)
			begin := jumped.Add(time.Duration(float64(want.StartS)-float64(after)) * time.Second)
			assert.WithinDuration(t, begin, *got.Started, 2*time.Second)
			assert.Equal(t, want.ChargeInAh, got.ChargeInAh)
			assert.Equal(t, want.EndS, got.EndS)
		})
	}
}

// A charge that goes by another name since the clock was set is stored by that name before it shows: with it its
// rows are asked for.
func TestAChargeIsStoredByTheNameThatItShows(t *testing.T) {
	var before, shown, kept string
	m := &meter{clock: testhelp.NewClock(time.Unix(0, 0).UTC()), lines: 700}
	d := recording(t, t.TempDir(), m.clock, m)
	look := func() (string, string) {
		c := d.channel("bench")
		c.mu.Lock()
		defer c.mu.Unlock()
		c.status.stale = true
		c.publish()
		return c.status.summary.ID, c.stored.id
	}
	m.at = map[int]func(){
		590: func() { before, _ = look() },
		600: func() { m.clock.Step(56 * 365 * 24 * time.Hour) },
		602: func() { shown, kept = look() },
	}
	require.NoError(t, d.Run(t.Context()))
	require.NoError(t, d.Close())
	assert.NotEqual(t, before, shown)
	assert.Equal(t, shown, kept)
}

var evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
