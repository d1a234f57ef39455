package daemon

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// listenedTo is the channel after so many rows ten seconds apart, and what the logbook has then.
func listenedTo(t *testing.T, o analyze.Options, rows int, row func(k int) (volts, amps float64)) (live.Channel, []logbook.Session) {
	t.Helper()
	var said strings.Builder
	said.WriteString("time_s,voltage_V,current_A\n")
	for k := range rows {
		v, a := row(k)
		fmt.Fprintf(&said, "%d,%.3f,%.3f\n", 10*k, v, a)
	}
	stream, err := capture.Stdin(io.NopCloser(strings.NewReader(said.String()))).Open(t.Context())
	require.NoError(t, err)
	d := recorded(t, t.TempDir(), testhelp.NewClock(evening), stream, func(c *Config) {
		o.Channel = "bench"
		c.Channels[0].Options = o
	})
	defer func() { require.NoError(t, d.Close()) }()
	c, ok := d.Hub().Get("bench")
	require.True(t, ok)
	kept, err := d.Book().Sessions(t.Context(), logbook.Filter{Limit: 9})
	require.NoError(t, err)
	return c, kept
}

// What is found while no charge has been seen is shown, and no charge is made of it.
func TestWhatIsFoundWithoutAChargeIsShown(t *testing.T) {
	for name, c := range map[string]struct {
		row  func(k int) (float64, float64)
		want string
	}{
		"crossed leads":           {func(k int) (float64, float64) { return -3.6 + 0.003*float64(k%3), 0 }, analyze.CodeReversePolarity},
		"the clamps do not touch": {func(k int) (float64, float64) { return 14.4 + 0.001*float64(k%2), 0 }, analyze.CodeOpenCircuit},
		"too high a voltage for the last 40 s": {func(k int) (float64, float64) {
			if k < 116 {
				return 12.3, 0
			}
			return 16.5, 2
		}, analyze.CodeOverVoltage},
	} {
		t.Run(name, func(t *testing.T) {
			want := c.want
			c, kept := listenedTo(t, analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 17 * 3600}, 120, c.row)
			require.NotNil(t, c.Session)
			assert.Equal(t, analyze.NoCharge, c.Session.Outcome)
			require.Len(t, c.Session.Findings, 1)
			f := c.Session.Findings[0]
			assert.Equal(t, want, f.Code)
			assert.Equal(t, analyze.Alarm, f.Severity)
			assert.False(t, analyze.Known(f.EndS), "it holds")
			assert.Nil(t, c.Charge())
			assert.False(t, analyze.Known(c.Totals.ChargeInAh), "nothing is added up of it")
			assert.Empty(t, kept)
		})
	}
}

// Where nothing was found there is no session, and a current that has just begun is no stage yet.
func TestWithoutAChargeAndWithoutFindingsThereIsNoSession(t *testing.T) {
	c, _ := listenedTo(t, analyze.Options{}, 60, func(int) (float64, float64) { return 12.3, 0 })
	assert.Nil(t, c.Session)
	assert.EqualValues(t, analyze.Idle, c.Stage)
	assert.Empty(t, c.StageWhy)
	assert.False(t, c.Starting)

	for _, with := range []int{1, 2, 6} {
		c, _ = listenedTo(t, analyze.Options{}, 60, func(k int) (float64, float64) {
			if k < 60-with {
				return 12.3, 0
			}
			return 12.9, 5
		})
		assert.Nil(t, c.Session, with)
		assert.True(t, c.Starting, "with %d rows", with)
		assert.EqualValues(t, analyze.Idle, c.Stage, "it may be a pulse")
		assert.Contains(t, c.StageWhy, "current has flowed since")
	}
	c, _ = listenedTo(t, analyze.Options{}, 60, func(k int) (float64, float64) { return 12.9, 5 * min(1, float64(k/40)) })
	assert.EqualValues(t, analyze.ConstantCurrent, c.Stage)
	assert.False(t, c.Starting)
	assert.NotNil(t, c.Charge())
}
