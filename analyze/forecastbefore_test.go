package analyze_test

import (
	"math"
	"slices"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A cell that no table knows: it holds a third less than its label, and its voltage climbs
// straight from 3.85 V. Tables of rest voltages and slopes are far out. An invented cell.
type oddCell struct{ label, holds, amps float64 } // Ah, Ah, A

// night is one of it that came so full, and when it is complete, s.
func (c oddCell) night(came, amps float64) (rows []analyze.Sample, finish float64) {
	const idleFor, limit, tau = 600, 4.2, 300
	seconds := (1 - came) * c.holds / amps * anHour
	finish = idleFor + seconds + tau*math.Log(amps/(0.05*c.label))
	return script(10, idle(idleFor, 3.80+0.3*came), ramp(seconds, 3.85+0.35*came, limit, amps, amps), fade(finish-idleFor-seconds+300, limit, amps, tau),
		settle(anHour, 4.19, 4.18, 600)), finish
}

func (c oddCell) options(earlier ...analyze.Earlier) analyze.Options {
	return analyze.Options{Chemistry: analyze.LiIon, Cells: 1, Capacity: c.label * anHour, Earlier: earlier}
}

func (c oddCell) remembered(t *testing.T, came, amps float64) analyze.Earlier {
	t.Helper()
	rows, _ := c.night(came, amps)
	sessions := run(c.options(), rows).Sessions
	require.Len(t, sessions, 1)
	e, ok := analyze.EarlierOf(&sessions[0], slices.Values(rows))
	require.True(t, ok, "%s", sessions[0].Outcome)
	return e
}

// One earlier night settles how far it is, though that came much fuller or emptier.
func TestForecastByHowTheVoltageWentBefore(t *testing.T) {
	c := oddCell{label: 3, holds: 2, amps: 0.5}
	for came, before := range map[float64]float64{0.1: 0.5, 0.5: 0.1} {
		rows, finish := c.night(came, c.amps)
		now := 600 + 0.5*(finish-600)
		off := func(o analyze.Options) (share, half float64) {
			f := forecastAt(o, rows, now)
			require.NotNil(t, f)
			return (float64(f.FinishS) - finish) / (finish - 600), float64(f.FinishSU95) / (finish - 600)
		}
		alone, wide := off(c.options())
		share, half := off(c.options(c.remembered(t, before, c.amps)))
		assert.Greater(t, math.Abs(alone), 0.07, "by its label it is known well enough: this night shows nothing")
		assert.Less(t, math.Abs(share), 0.5*math.Abs(alone), "came %.0f %% full, before %.0f %%", 100*came, 100*before)
		assert.Less(t, half, 0.6*wide)
		assert.Greater(t, half, math.Abs(share))
	}
}

// At another current the voltage is another: what that night took still counts, not its voltages.
func TestForecastAtAnotherCurrentThanBefore(t *testing.T) {
	c := oddCell{label: 3, holds: 2, amps: 0.5}
	rows, finish := c.night(0.3, c.amps)
	now := 600 + 0.5*(finish-600)
	then := func(amps float64) string {
		f := forecastAt(c.options(c.remembered(t, 0.3, amps)), rows, now)
		require.NotNil(t, f)
		return f.Method
	}
	assert.Contains(t, then(0.5), "on earlier nights (1), and how the voltage went then")
	other := then(0.3)
	assert.Contains(t, other, "on earlier nights (1)")
	assert.NotContains(t, other, "how the voltage went then")
}

// Where a voltage stands still, it tells nothing, on an earlier night neither.
func TestForecastOnAPlateauIsNoSurerForANight(t *testing.T) {
	night := func(came float64) []analyze.Sample {
		return script(10, idle(600, 3.30), ramp((0.95-came)*10*anHour, 3.38, 3.38, 1, 1), ramp(0.05*10*anHour, 3.38, 3.6, 1, 1), fade(anHour, 3.6, 1, 600), settle(anHour, 3.5, 3.4, 600))
	}
	o := analyze.Options{Chemistry: analyze.LiFePO4, Cells: 1, Capacity: 10 * anHour}
	rows := night(0.2)
	s := run(o, rows).Sessions[0]
	e, ok := analyze.EarlierOf(&s, slices.Values(rows))
	require.True(t, ok)
	o.Earlier = []analyze.Earlier{e}
	f := forecastAt(o, night(0.5), 600+1.5*anHour)
	require.NotNil(t, f)
	assert.Greater(t, float64(f.FinishSU95), 1.5*anHour)
	assert.Less(t, math.Abs(float64(f.FinishS)-600-5.3*anHour), float64(f.FinishSU95))
}

// Two charges of one real battery (open logs, 17 Ah), of which the one before was twice as
// deep: its taper took half as long again, and a forecast that trusts it must be so unsure.
func TestForecastAfterAnEarlierNightOfAnOpenLog(t *testing.T) {
	o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 17 * anHour}
	before := readPlain(t, "pb03_17ah_charge_1.csv")
	for _, s := range run(o, before).Sessions {
		if e, ok := analyze.EarlierOf(&s, slices.Values(before)); ok {
			o.Earlier = append(o.Earlier, e)
		}
	}
	require.Len(t, o.Earlier, 1)
	rows := readPlain(t, "pb06_17ah_charge_4.csv")
	var night analyze.Session
	for _, s := range run(o, rows).Sessions {
		if s.Outcome == analyze.Complete {
			night = s
		}
	}
	length := float64(night.FinishS - night.StartS)
	for share, off := range map[float64]float64{0.3: 0.2, 0.5: 0.1, 0.7: 0.1} {
		f := forecastAt(o, rows, float64(night.StartS)+share*length)
		require.NotNil(t, f, "%.1f", share)
		assert.InDelta(t, float64(night.FinishS), float64(f.FinishS), off*length, "%.1f", share)
		assert.Less(t, math.Abs(float64(f.FinishS-night.FinishS)), float64(f.FinishSU95), "%.1f", share)
	}
}

// packNight is one of a pack of six nickel cells of 2 Ah at 0.8 A that came so full, so many kelvin warmer than
// 20 °C, and when its voltage peaks, s.
func packNight(came, warmer float64) (rows []analyze.Sample, peak float64) {
	const amps, idleFor = 0.8, 600.0
	volts := func(t float64) float64 {
		full := came + amps*t/(2*anHour)
		return 6 * (1.36 + 0.06*full + 0.09/(1+math.Exp(-(full-0.93)/0.04)) - 1.2*max(full-1, 0) - 0.003*warmer)
	}
	seconds := (1.03 - came) * 2 * anHour / amps
	return script(10, idle(idleFor, 7.7), part{seconds, volts, always(amps)}, settle(anHour, 8.4, 8.2, 900)), idleFor + (1-came)*2*anHour/amps
}

// A nickel pack's voltage tells more of how warm it is than of how full. On a colder night it stands
// where it stood much later on the night before, and on a warmer one much sooner.
func TestForecastOfANickelPackThatIsColderThanBefore(t *testing.T) {
	pack := analyze.Options{Chemistry: analyze.NiMH, Cells: 6, Capacity: 2 * anHour}
	forecast := func(measured bool, kelvin, share float64) (off, half float64) {
		night := func(came, warmer float64) ([]analyze.Sample, float64) {
			rows, peak := packNight(came, warmer)
			if measured {
				rows = warmed(rows, always(20+warmer))
			}
			return rows, peak
		}
		before, _ := night(0.05, 0)
		sessions := run(pack, before).Sessions
		require.Len(t, sessions, 1)
		e, ok := analyze.EarlierOf(&sessions[0], slices.Values(before))
		require.True(t, ok, "%s", sessions[0].Outcome)
		assert.Equal(t, measured, e.Celsius == 20)
		o := pack
		o.Earlier = []analyze.Earlier{e}
		rows, peak := night(0.35, kelvin)
		f := forecastAt(o, rows, 600+share*(peak-600))
		require.NotNil(t, f)
		return (float64(f.FinishS) - peak) / (peak - 600), float64(f.FinishSU95) / (peak - 600)
	}
	for _, share := range []float64{0.5, 0.7} {
		for _, kelvin := range []float64{-4, 4} {
			off, half := forecast(false, kelvin, share)
			assert.Less(t, math.Abs(off), half, "%.0f K, %.0f %% gone", kelvin, 100*share)
		}
		alike, unsure := forecast(true, 0, share)
		assert.Less(t, math.Abs(alike), unsure)
		for _, kelvin := range []float64{-8, 8} {
			off, _ := forecast(true, kelvin, share)
			assert.InDelta(t, alike, off, 0.01, "%.0f K, which were measured, %.0f %% gone", kelvin, 100*share)
		}
	}
}
