package decoders

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A clock in whole minutes stands still for six rows that are 10 s apart.
func TestTimeCoarserThanTheRows(t *testing.T) {
	night := madeUpNight()
	lines := nightLines(func(r row) string { return fmt.Sprintf("%d;%.3f;%.3f", int(r.t)/60, r.v, r.i) })
	f, err := Fit(head(lines), Options{})
	require.NoError(t, err)
	assert.Equal(t, "time_min, voltage_V, current_A", f.Columns)
	ah, held := charge(t, streamOf(t, f.Setting), lines, false)
	assert.InEpsilon(t, night[len(night)-1].ah, ah, 0.005)
	assert.InDelta(t, 14.4, held, 0.01)
}

// What is measured in coarse steps is no clock, however steadily it rises.
func TestCoarseMeasuresAreNoTime(t *testing.T) {
	lines := nightLines(func(r row) string { return fmt.Sprintf("%.1f;%.3f", r.v, r.i) })
	_, err := Fit(head(lines), Options{})
	assert.ErrorContains(t, err, "no time")
}

// How long the lines took to come tells the unit of their time.
func TestArrivalTellsTheUnitOfTime(t *testing.T) {
	for unit, seconds := range map[string]float64{"ms": 0.001, "s": 1, "min": 60} {
		lines := make([][]byte, 20)
		for k := range lines {
			lines[k] = fmt.Appendf(nil, "%d;%.3f;%.3f", 60000+k*int(math.Max(1, 2/seconds)), 12.2+0.001*float64(k), 4+0.01*float64(k%2))
		}
		span := 19 * math.Max(seconds, 2)
		f, err := Fit(lines, Options{Live: true, Span: span})
		require.NoError(t, err)
		assert.Equal(t, unit, f.Layout.Fields[0].Form, "%s in %g s", lines[1], span)
		assert.NotContains(t, f.Difference, "unit of time")
	}
}

// A night that is played in a few minutes keeps step with no unit.
func TestANightPlayedFastKeepsItsUnit(t *testing.T) {
	lines := nightLines(func(r row) string { return fmt.Sprintf("%.0f;%.3f;%.3f", r.t, r.v, r.i) })
	for _, span := range []float64{0, 1, 25.2, 60, 252, 2520} {
		f, err := Fit(head(lines), Options{Live: true, Span: span})
		require.NoError(t, err)
		assert.Equal(t, "time_s, voltage_V, current_A", f.Columns, "in %g s", span)
	}
}

// A number of the row beside rows that come every two seconds, or every ten, is no time.
func TestANumberOfTheRowKeepsNoTime(t *testing.T) {
	for _, every := range []float64{2, 10} {
		for _, form := range []string{"| %d | %.0f mV | %.0f mA |", "%d;%.0f mV;%.0f mA"} {
			var lines [][]byte
			for k := range 40 {
				lines = append(lines, fmt.Appendf(nil, form, 17+k, 12186+3*float64(k), 6000+float64(k%3)))
			}
			f, err := Fit(lines, Options{Live: true, Span: 39 * every})
			require.NoError(t, err)
			assert.False(t, f.Layout.Timed(), f.Setting)
			assert.Equal(t, "voltage_V, current_A", f.Columns, f.Setting)
		}
	}
}

// Each doubt is told, with the difference that it makes; where nothing speaks for a
// guess it is not taken, but offered.
func TestEveryDoubtIsTold(t *testing.T) {
	rows := func(header, format string) [][]byte {
		lines := [][]byte{[]byte(header)}
		for k := range 20 {
			lines = append(lines, fmt.Appendf(nil, format, k, 12.21+float64(k%2)/1000))
		}
		return lines
	}
	f, err := Fit(rows("t;U;x", "%d;%.3f;4.00"), Options{})
	require.NoError(t, err)
	assert.Less(t, f.Confidence, 0.4)
	assert.Contains(t, f.Difference, "the current never changes")
	assert.Contains(t, f.Difference, "in min, every duration and every ampere-hour would be 60 times as much")
	other, err := Parse(f.RunnerUp)
	require.NoError(t, err)
	assert.Equal(t, "time_min, voltage_V, current_A", other.Describe())

	_, err = Fit(rows("ready", "%d;%.3f;4.00"), Options{})
	assert.ErrorContains(t, err, "if column 2 is the voltage and column 3 the current, it is --decoder 'columns separator=semicolon width=3 time=1:s voltage=2:V current=3:A'")
}

// A pack of tools is full in three quarters of an hour, and nobody charges it for two days.
func TestAShortChargeCountsSeconds(t *testing.T) {
	lines := [][]byte{[]byte("t,V,A")}
	for k := range 552 {
		v, i := 5.62, 0.0
		if k < 450 {
			v, i = 5.95+0.5*float64(k)/450, 1.09
		}
		lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.2f", 5*k, v, i))
	}
	f, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Equal(t, "time_s, voltage_V, current_A", f.Columns)
}

// What stood for long before it went on by steps of the same length is a count of charge, that
// nothing flowed into at first.
func TestWhatStoodAtFirstDoesNotTick(t *testing.T) {
	ticks := func(rest int) bool {
		var c column
		for k := range 200 {
			c.x = append(c.x, math.Floor(float64(max(0, k-rest))/5))
		}
		c.measure(c.x)
		return c.ticks()
	}
	assert.True(t, ticks(0))
	assert.True(t, ticks(1), "one row more is chance")
	assert.False(t, ticks(20))
}
