package decoders

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// An hour of rest fills the lines that a decoder is fitted on: those behind tell the sign.
func TestTheSignIsSeenFurtherOn(t *testing.T) {
	fitted, err := Fit(bytesOf([]string{"time_s,voltage_V,current_A", "0,12.60,0.00", "1,12.60,0.00", "2,12.61,0.00", "3,12.60,0.00"}), Options{})
	require.NoError(t, err)
	require.False(t, fitted.Told)
	samples := make([]analyze.Sample, 40)
	for k := range samples {
		samples[k] = analyze.Sample{Volts: 12.6 + 0.01*float64(k%2), Amps: 0}
	}
	assert.False(t, fitted.SeeSign(behindEachOther(samples)), "rest tells none")
	for k := range 20 {
		samples[k+20] = analyze.Sample{Volts: 13.1 + 0.01*float64(k%3), Amps: -3.5 + 0.01*float64(k%2)}
	}
	require.True(t, fitted.SeeSign(behindEachOther(samples)))
	assert.Contains(t, fitted.Setting, "negate")
	assert.Contains(t, strings.Join(fitted.Evidence, "\n"), "counts out of the battery: further on voltage steps down")
	assert.Contains(t, fitted.Columns, "-current_A")
}

// The sign is not asked for again with every block of a rest, but once something begins.
func TestTheSignIsAskedForWhereItMayShow(t *testing.T) {
	fitted, err := Fit(bytesOf([]string{"time_s,voltage_V,current_A", "0,12.60,0.00", "1,12.60,0.00", "2,12.61,0.00", "3,12.60,0.00"}), Options{})
	require.NoError(t, err)
	var rows Rows
	rest := func(n int) {
		for k := range n {
			rows.Add(12.6, 0.01*float64(k%3))
		}
	}
	rest(100)
	assert.True(t, rows.MayTell(), "nobody has asked yet")
	require.False(t, fitted.SeeSign(&rows))
	rest(99)
	assert.False(t, rows.MayTell())
	rows.Add(math.NaN(), math.NaN())
	assert.True(t, rows.MayTell(), "they are twice as many")
	require.False(t, fitted.SeeSign(&rows))
	rows.Add(13.1, -3.5)
	assert.True(t, rows.MayTell(), "a current begins")
}

// A cell that shorts takes the voltage down while the same current flows on. That tells nothing of its sign, and
// what the voltage did before and after still does.
func TestAVoltageThatLeapsTellsNoSign(t *testing.T) {
	night := func(charging float64) *Rows {
		rows := &Rows{}
		for k := range 600 {
			v, cells := 2.1+0.0001*float64(k), 6.0
			if k >= 400 {
				cells = 5
			}
			rows.Add(math.Round(1000*v*cells)/1000, charging*(4+0.01*float64(k%3)))
		}
		return rows
	}
	for _, way := range []float64{1, -1} {
		rows := night(way)
		rows.volts.measure(rows.volts.x)
		rows.amps.measure(rows.amps.x)
		inverted, strength, why := signOf(&rows.volts, &rows.amps)
		assert.Equal(t, way < 0, inverted, why)
		assert.GreaterOrEqual(t, strength, 1.0, why)
	}
}
