package analyze_test

import (
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hang repeats the reading of row from until row to.
func hang(rows []analyze.Sample, from, to int) {
	for k := from; k < to; k++ {
		rows[k].Volts, rows[k].Amps, rows[k].Celsius = rows[from].Volts, rows[from].Amps, rows[from].Celsius
	}
}

func TestMeterFrozen(t *testing.T) {
	rows, _ := night(t, "mower-two-hour-timer").Collect()
	hang(rows, 800, 1000)
	w := live(analyze.Options{}, rows)
	require.Contains(t, w.raised, analyze.CodeMeterFrozen)
	e := w.raised[analyze.CodeMeterFrozen]
	assert.Equal(t, rows[800].At, e.At)
	assert.Less(t, e.Seen-e.At, 400.0, "60 rows of 5 s")
	assert.Equal(t, rows[1000].At, w.cleared[analyze.CodeMeterFrozen].At)

	rows, _ = night(t, "mower-two-hour-timer").Collect()
	hang(rows, 800, 840)
	assert.NotContains(t, live(analyze.Options{}, rows).raised, analyze.CodeMeterFrozen, "40 rows may be chance")
}

// That the readings stand says nothing of the battery, then.
func TestFrozenIsNotStalled(t *testing.T) {
	rows := climbing(12, 5, func(h float64) float64 { return 12.2 + 0.1*h })
	hang(rows, 4*120, 9*120)
	o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 80 * hour}
	assert.Equal(t, []string{analyze.CodeMeterFrozen}, codes(live(o, rows).document))
}

// A coarse meter repeats all night; only a taper that stops at once gives it away.
func TestMeterFrozenCoarse(t *testing.T) {
	n := night(t, "outboard-plateau")
	n.Meter.NoiseVolts, n.Meter.NoiseAmps, n.Meter.StepVolts, n.Meter.StepAmps = 0.0005, 0.0005, 0.01, 0.01
	rows, truth := n.Collect()
	assert.NotContains(t, live(analyze.Options{}, rows).raised, analyze.CodeMeterFrozen)

	from := int(float64(truth.Charges[0].HoldS)/n.Meter.Every) + 90 // a quarter of an hour into the taper
	hang(rows, from, from+120)
	w := live(analyze.Options{}, rows)
	require.Contains(t, w.raised, analyze.CodeMeterFrozen)
	assert.Contains(t, w.cleared, analyze.CodeMeterFrozen)
}

func TestMeterSilent(t *testing.T) {
	m := analyze.New(analyze.Options{})
	assert.Empty(t, m.Silent(1e6), "nothing was heard yet")
	for k := range 20 {
		m.Step(reading(float64(k)*10, 12.5, 0))
	}
	assert.Empty(t, m.Silent(100), "ten usual intervals")
	events := m.Silent(101)
	require.Len(t, events, 1)
	assert.Equal(t, analyze.CodeMeterSilent, events[0].Finding.Code)
	assert.Equal(t, 190.0, events[0].At)
	assert.Empty(t, m.Silent(500), "once")
	events = m.Step(reading(700, 12.5, 0))
	require.NotEmpty(t, events)
	assert.Equal(t, analyze.FindingCleared, events[0].Kind)

	m = analyze.New(analyze.Options{Limits: analyze.Limits{Silence: 30}})
	m.Step(reading(0, 12.5, 0))
	assert.Empty(t, m.Silent(30))
	assert.Len(t, m.Silent(31), 1)
}
