package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Nickel rounds off before its peak. As much as has gone in since its slope doubled may be
// long or short; what its slope has lost tells how far the peak is.
func TestForecastOfARoundedNickelPeak(t *testing.T) {
	const capacity, amps, rise = 2.0, 1.0, 0.05 // Ah, A, V a cell
	o := analyze.Options{Chemistry: analyze.NiMH, Cells: 4, Capacity: capacity * anHour}
	for _, share := range []float64{0.12, 0.20, 0.28} { // of capacity that the S is long
		long := share * capacity / amps * anHour
		parts := []part{idle(600, 5.2), ramp(600, 5.4, 5.6, amps, amps), ramp(1.2*anHour, 5.6, 5.68, amps, amps)}
		volts := func(x float64) float64 { return 5.68 + 4*rise*(x-math.Sin(2*math.Pi*x)/(2*math.Pi)) }
		for k := range 40 {
			parts = append(parts, ramp(long/40, volts(float64(k)/40), volts(float64(k+1)/40), amps, amps))
		}
		peak := 1200 + 1.2*anHour + long
		f := forecastAt(o, script(2, parts...), peak-0.25*long)
		require.NotNil(t, f, "%.2f", share)
		assert.InDelta(t, peak, float64(f.FinishS), 0.25*long, "%.2f", share)
		assert.Less(t, math.Abs(float64(f.FinishS)-peak), float64(f.FinishSU95), "%.2f", share)
	}
}

// LiFePO4 that has left its plateau is at its limit within a per cent or two of its capacity,
// but not at once: how its rise quickens tells, whatever capacity and rest voltage say.
func TestForecastOfAPlateauThatEnds(t *testing.T) {
	const capacity, amps = 20.0, 4.0 // Ah, A
	second := func(share float64) float64 { return share * capacity / amps * anHour }
	for _, began := range []float64{0.2, 0.3, 0.4} { // the voltage at rest says the same of all
		parts := []part{idle(600, 13.14), ramp(second(0.94-began), 13.36, 13.38, amps, amps)}
		volts := func(x float64) float64 { return 13.38 + 0.03*(math.Exp(x/0.0155)-1) }
		last := 0.0155 * math.Log(1+(14.48-13.38)/0.03)
		for k := range 40 {
			parts = append(parts, ramp(second(last/40), volts(last*float64(k)/40), volts(last*float64(k+1)/40), amps, amps))
		}
		limit := 600 + second(0.94-began+last)
		f := forecastAt(analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: capacity * anHour}, script(10, parts...), limit-second(0.02))
		require.NotNil(t, f, "%.2f", began)
		left := second(0.02) + 180*math.Log(amps/(0.05*capacity))
		assert.InDelta(t, limit-second(0.02)+left, float64(f.FinishS), 0.5*left, "%.2f", began)
	}
}

// The voltage is a mean over several rows. Where they are a minute apart, its middle lies
// minutes back, and what went in since has not to go in any more.
func TestForecastWhateverTheRows(t *testing.T) {
	const capacity, amps = 3.0, 1.5 // Ah, A
	o := analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: capacity * anHour}
	for _, late := range []float64{0.90, 0.95} {
		var at [2]float64
		for k, every := range []float64{5, 60} {
			f := forecastAt(o, script(every, ramp(anHour, 3.70, 4.20, amps, amps)), late*anHour+1)
			require.NotNil(t, f)
			at[k] = float64(f.FinishS)
		}
		assert.InDelta(t, at[0], at[1], 90, "s, when %.2f of it was gone", late)
	}
}
