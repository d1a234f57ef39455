package analyze_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// What is wrong with the readings rather than with the battery.

// hung repeats the reading of row from until row to.
func hung(rows func() []analyze.Sample, from, to int) func() []analyze.Sample {
	return func() []analyze.Sample {
		all := rows()
		for k := from; k < to; k++ {
			all[k].Volts, all[k].Amps, all[k].Celsius = all[from].Volts, all[from].Amps, all[from].Celsius
		}
		return all
	}
}

// thermometer is the same with a temperature that goes on by tenths.
func thermometer(rows func() []analyze.Sample) func() []analyze.Sample {
	return func() []analyze.Sample {
		return warmed(rows(), func(t float64) float64 { return 20 + 0.1*math.Mod(math.Floor(t/30), 2) })
	}
}

// holed is the usual charge without the rows from a time on, for so many seconds.
func holed(from, seconds float64) func() []analyze.Sample {
	return func() []analyze.Sample { return without(seventeen(), from, from+seconds) }
}

// altered is the usual charge with some rows edited.
func altered(from, to int, edit func(k int, s *analyze.Sample)) func() []analyze.Sample {
	return func() []analyze.Sample {
		rows := seventeen()
		for k := from; k < min(to, len(rows)); k++ {
			edit(k, &rows[k])
		}
		return rows
	}
}

// minutely is a charge with a row a minute, of which a voltmeter of a millivolt shows a steady
// rise with so much noise, V.
func minutely(noise float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		rows := script(60, idle(300, 12.2), ramp(9*anHour, 12.6, 14.4, 2, 2), fade(3*anHour, 14.4, 2, anHour), settle(2*anHour, 14.0, 12.9, 6*anHour))
		r := rand.New(rand.NewPCG(1, 2))
		for k := range rows {
			rows[k].Volts = math.Round(1000*(rows[k].Volts+noise*r.NormFloat64())) / 1000
		}
		return rows
	}
}

func meterNights() []must {
	timer, coarse := madeup.Named("mower-two-hour-timer"), coarseOutboard()
	taper := int(float64(coarse.Truth().Charges[0].HoldS)/coarse.Meter.Every) + 90 // a quarter of an hour into it
	slow := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 80 * anHour}
	both := []analyze.Options{{}, agm17}
	return []must{
		{code: "meter-silent", name: "ten usual intervals", of: both, rows: holed(4000, 700),
			begins: 3990, within: 120, ends: 4700, settles: 1, says: []string{"1 h 07 min", "1 min 40 s", "its cable is loose"}},
		{code: "meter-silent", name: "as set", of: []analyze.Options{{Limits: analyze.Limits{Silence: 30}}}, rows: holed(4000, 40),
			begins: 3990, within: 41, ends: 4040, settles: 1, says: []string{"30 s"}},

		{code: "meter-frozen", name: "it scattered, and hangs for a quarter of an hour", of: []analyze.Options{{}, known(timer)}, rows: hung(collected(timer), 800, 1000),
			begins: 4000, within: 400, ends: 5000, settles: 1, says: []string{"1 h 07 min", "61 in a row", "start it again"}},
		{code: "meter-frozen", name: "beside a thermometer that lives", of: []analyze.Options{{}, known(timer)}, rows: thermometer(hung(collected(timer), 800, 1000)),
			begins: 4000, within: 400, ends: 5000, settles: 1, says: []string{"are the same since"}},
		{code: "meter-frozen", name: "a coarse one in a taper", of: []analyze.Options{{}, known(coarse)}, rows: hung(collected(coarse), taper, taper+120),
			begins: 10 * float64(taper), give: 30, within: 1100, ends: 10 * float64(taper+120), settles: 30},
		{code: "meter-frozen", name: "and nothing is said to be stalled", of: []analyze.Options{slow},
			rows:   hung(unending(slowly(12, 5, func(h float64) float64 { return 12.2 + 0.1*h })), 490, 1090),
			begins: 490 * 30, within: 2000, ends: 1090 * 30, settles: 1},

		{code: "meter-frozen", name: "a row a minute, in the second hour", of: both, rows: hung(minutely(0.012), 80, 200),
			begins: 80 * 60, within: 3800, ends: 200 * 60, settles: 60},
		{code: "meter-frozen", name: "a row a minute, a steady rise in the first hour", of: both, rows: hung(minutely(0), 50, 170),
			begins: 50 * 60, within: 3800, ends: 170 * 60, settles: 60},

		{code: "data-gap", name: "an hour", of: both, rows: holed(600+anHour, anHour),
			begins: 590 + anHour, within: anHour + 30, ends: 600 + 2*anHour, settles: 1, says: []string{"from 1 h 10 min to 2 h 10 min", "estimated apart"}},

		{code: "clock-step", name: "set back by an hour", of: both, rows: altered(400, 1e6, func(_ int, s *analyze.Sample) { s.At -= anHour }),
			begins: 4000, give: 10, within: 40, ends: 4000, settles: 10, says: []string{"line 401", "one usual interval"}},

		{code: "overload-reading", name: "half a minute", of: both, rows: altered(400, 403, func(_ int, s *analyze.Sample) { s.Volts = 9.9e37 }),
			begins: 4000, give: 10, within: 40, ends: 4020, settles: 10, says: []string{"line 403", "3 times", "not used"}},
	}
}

func meterNeighbours() []neighbour {
	coarse := coarseOutboard()
	began := time.Date(2026, 10, 24, 20, 0, 0, 0, time.UTC)
	both := []analyze.Options{{}, agm17}
	return []neighbour{
		{code: "meter-silent", name: "just short of ten intervals", of: both, rows: holed(4000, 90)},
		{code: "meter-silent", name: "longer, and so set", of: []analyze.Options{{Limits: analyze.Limits{Silence: 900}}}, rows: holed(4000, 700)},

		{code: "meter-silent", name: "a row every two minutes, from the first", of: both, rows: func() []analyze.Sample {
			return script(120, before, current, voltage, after)
		}},

		{code: "meter-frozen", name: "forty rows may be chance", of: both, rows: hung(collected(madeup.Named("mower-full")), 200, 240)},
		{code: "meter-frozen", name: "a coarse one repeats all night", of: []analyze.Options{{}, known(coarse)}, rows: collected(coarse)},

		{code: "meter-frozen", name: "the battery is taken off once it rested, and the meter shows nothing", of: both, rows: func() []analyze.Sample {
			rows := collected(madeup.Named("mower-full"))()
			for k := len(rows) - 300; k < len(rows); k++ {
				rows[k].Volts, rows[k].Amps = 0, 0
			}
			return rows
		}},
		{code: "meter-frozen", name: "half an hour of it may be chance", of: both, rows: hung(minutely(0.012), 80, 110)},
		{code: "meter-frozen", name: "a coarse one comes to a plateau and stands", of: []analyze.Options{{}, lfp}, rows: func() []analyze.Sample {
			rows := minutely(0)()[:150]
			for k := 5; k < len(rows); k++ {
				t := 60 * float64(k-5)
				rows[k].Volts = math.Round(100*(13.30-0.4*math.Exp(-t/600))) / 100
			}
			return rows
		}},

		{code: "meter-frozen", name: "a float comes to what the battery gasses away", of: both, rows: func() []analyze.Sample {
			return script(10, before, current, fade(3*anHour, 14.4, 5, anHour),
				part{8 * anHour, always(13.6), func(t float64) float64 { return max(0.06, 0.22-0.16*t/anHour) }}, after)
		}},
		{code: "meter-frozen", name: "nickel comes to its peak", of: []analyze.Options{{}, {Chemistry: analyze.NiMH, Cells: 1, Capacity: 2 * anHour}}, rows: func() []analyze.Sample {
			volts := func(t float64) float64 { return 1.35 + 0.06/(1+math.Exp((10*anHour-t)/600)) - 0.003*t/anHour }
			return script(30, idle(300, 1.3), part{13 * anHour, volts, always(0.2)}, settle(600, 1.36, 1.33, 300))
		}},

		{code: "data-gap", name: "just short of ten intervals", of: both, rows: holed(4000, 80)},
		{code: "data-gap", name: "a log that slows down", of: both, rows: func() []analyze.Sample {
			var rows []analyze.Sample
			for k, s := range seventeen() {
				if k < 400 || k%6 == 0 {
					rows = append(rows, s)
				}
			}
			return rows
		}},

		{code: "clock-step", name: "rows that come twice", of: both, rows: altered(400, 410, func(k int, s *analyze.Sample) { s.At -= float64(k%2) * 10 })},
		{code: "clock-step", name: "the date is set, and the seconds go on", of: both, rows: func() []analyze.Sample {
			return stamped(seventeen(), began, 400, 26*time.Hour)
		}},

		{code: "overload-reading", name: "blanks", of: both, rows: altered(400, 403, func(_ int, s *analyze.Sample) { s.Volts = analyze.Unknown() })},
		{code: "overload-reading", name: "a reading that is large and right", rows: func() []analyze.Sample {
			return script(10, idle(600, 1500), ramp(anHour, 1500, 1600, 5, 5))
		}},
	}
}

func TestSilenceIsToldOnce(t *testing.T) {
	m := analyze.New(analyze.Options{})
	assert.Empty(t, m.Silent(1e6), "nothing was heard yet")
	for _, s := range script(10, idle(200, 12.5)) {
		m.Step(s)
	}
	assert.Empty(t, m.Silent(100), "ten usual intervals")
	assert.Len(t, m.Silent(101), 1)
	assert.Empty(t, m.Silent(500), "once")
}

// What a meter showed while it hung was never seen: neither has so much gone in, nor does a
// battery that stands higher afterwards hang off the charger.
func TestWhatAHungMeterShowsAccusesNobody(t *testing.T) {
	rows := hung(func() []analyze.Sample {
		return script(10, before, ramp(3*anHour, 12.6, 14.4, 5, 5), fade(3*anHour, 14.4, 5, anHour), settle(6*anHour, 14.0, 12.9, 6*anHour))
	}, 60+700, 60+3200)()
	d := run(agm17, rows)
	assert.Equal(t, []string{analyze.CodeMeterFrozen}, warnings(d))
}
