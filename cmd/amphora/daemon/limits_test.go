package daemon

import (
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bench is a daemon with one channel that has these limits configured, and has heard
// these lines.
func bench(t *testing.T, data string, configured analyze.Limits, lines ...string) *Daemon {
	return recorded(t, data, capture.SystemClock{}, &speaker{lines: lines}, func(c *Config) { c.Channels[0].Options.Limits = configured })
}

func limitsOf(t *testing.T, d *Daemon) live.Limits {
	c, ok := d.Hub().Get("bench")
	require.True(t, ok)
	return c.Limits
}

func TestLimitsThatWereSetOutlastARestart(t *testing.T) {
	data := t.TempDir()
	configured := analyze.Limits{Seconds: 20 * 3600, Hottest: 45}
	d := bench(t, data, configured)
	assert.EqualValues(t, 20, limitsOf(t, d).Hours)
	assert.Nil(t, limitsOf(t, d).SetAt)
	now, err := d.Limit("bench", live.NewLimits{Hours: new(26.0), ChargeAh: new(67.5)})
	require.NoError(t, err)
	assert.EqualValues(t, 26, now.Hours)
	assert.EqualValues(t, 67.5, now.ChargeAh)
	assert.EqualValues(t, 45, now.Celsius, "what was not asked for is as configured")
	require.NotNil(t, now.SetAt)
	assert.Equal(t, toJSON(t, now), toJSON(t, limitsOf(t, d)))
	_, err = d.Limit("attic", live.NewLimits{})
	require.ErrorIs(t, err, ErrNoChannel)
	require.NoError(t, d.Close())

	d = bench(t, data, configured)
	assert.Equal(t, toJSON(t, now), toJSON(t, limitsOf(t, d)))
	now, err = d.Limit("bench", live.NewLimits{})
	require.NoError(t, err)
	assert.EqualValues(t, 20, now.Hours, "taken back")
	assert.Nil(t, now.SetAt)
	require.NoError(t, d.Close())
	d = bench(t, data, configured)
	assert.Nil(t, limitsOf(t, d).SetAt)
	require.NoError(t, d.Close())
}

func TestANewConfigurationOverrulesLimitsThatWereSet(t *testing.T) {
	data := t.TempDir()
	d := bench(t, data, analyze.Limits{Seconds: 20 * 3600})
	_, err := d.Limit("bench", live.NewLimits{Hours: new(26.0)})
	require.NoError(t, err)
	require.NoError(t, d.Close())
	for range 2 { // and stays overruled
		d = bench(t, data, analyze.Limits{Seconds: 22 * 3600})
		assert.EqualValues(t, 22, limitsOf(t, d).Hours)
		assert.Nil(t, limitsOf(t, d).SetAt)
		require.NoError(t, d.Close())
	}
	d = bench(t, data, analyze.Limits{Seconds: 20 * 3600})
	assert.EqualValues(t, 20, limitsOf(t, d).Hours)
	require.NoError(t, d.Close())
}

func TestAChargeThatIsSetOverrulesTheConfiguredFactor(t *testing.T) {
	configured := analyze.Limits{ChargeFactor: 1.3, Seconds: 20 * 3600}
	assert.Equal(t, analyze.Limits{Charge: 20 * 3600, Seconds: 20 * 3600}, overlaid(configured, live.NewLimits{ChargeAh: new(20.0)}))
	assert.Equal(t, analyze.Limits{ChargeFactor: 1.3, Seconds: 16 * 3600}, overlaid(configured, live.NewLimits{Hours: new(16.0)}))
}

func TestLimitsThatCannotBeReadAreTheConfigured(t *testing.T) {
	data := t.TempDir()
	file := filepath.Join(data, "state", "limits", "bench.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o750))
	require.NoError(t, os.WriteFile(file, []byte("{"), 0o600))
	d := bench(t, data, analyze.Limits{Hottest: 40})
	assert.EqualValues(t, 40, limitsOf(t, d).Celsius)
	require.NoError(t, d.Close())
}

// A limit that a charge has passed already is told of at once, and taken back when
// it is set wider.
func TestLimitsHoldForTheChargeUnderWay(t *testing.T) {
	n := madeup.Named("mower-float")
	log := n.Log()
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, log[:len(log)/4], 0o644))
	d, stop := started(t, t.TempDir(), follow(t, capture.File{Path: file}))
	defer stop()
	running := func() *analyze.Session {
		c, _ := d.Hub().Get("bench")
		return c.Session
	}
	testhelp.Until(t, "a charge of two hours", func() bool { s := running(); return s != nil && s.ChargeInAh > 3 })
	_, err := d.Limit("bench", live.NewLimits{ChargeAh: new(2.0)})
	require.NoError(t, err)
	more, err := os.OpenFile(file, os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	defer more.Close()
	_, err = more.Write(log[len(log)/4 : len(log)/3])
	require.NoError(t, err)
	testhelp.Until(t, "the warning", func() bool { return warned(running()) })
	_, err = d.Limit("bench", live.NewLimits{ChargeAh: new(60.0)})
	require.NoError(t, err)
	_, err = more.Write(log[len(log)/3 : len(log)/2])
	require.NoError(t, err)
	testhelp.Until(t, "the all-clear", func() bool { return !warned(running()) })
}

// warned tells whether more has gone in than should have.
func warned(s *analyze.Session) bool {
	for _, f := range s.Findings {
		if f.Code == analyze.CodeOverCapacity && !analyze.Known(f.EndS) {
			return true
		}
	}
	return false
}
