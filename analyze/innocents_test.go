package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

// warningsOf are the codes of a session that are no notes.
func warningsOf(s *analyze.Session) []string {
	return warnings(analyze.Document{Sessions: []analyze.Session{*s}})
}

// Rows of five minutes show a step from the tail to a float as a current that had been a third
// of the set one and is kept from then on. That is no charger that gives way.
func TestAFloatAfterTheTailInSlowRows(t *testing.T) {
	taper, tau := 3500.0, 3000.0
	for _, hours := range []float64{0.5, 3} {
		rows := metered(300, 0.01, 0.01, ramp(6*anHour, 12.4, 14.55, 5, 5), fade(taper, 14.55, 5, tau), steady(hours*anHour, 13.56, 0.07))
		s := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 100 * 3600}, rows).Sessions[0]
		assert.Equal(t, analyze.Complete, s.Outcome, "%g h of float", hours)
		assert.InDelta(t, 6*anHour+tau*math.Log(5/2.), float64(s.FinishS), 300, "%g h of float", hours)
		assert.Empty(t, warningsOf(&s), "%g h of float", hours)
	}
}

// Before the first charge the meter's noise may flicker as if a current began.
func TestNoiseThatFlickersBeforehandDatesNoStart(t *testing.T) {
	rows := metered(10, 0.001, 0.001, idle(anHour, 52), ramp(anHour, 54, 58, 20, 20))
	for k := range rows {
		noise := 0.05 * math.Sin(float64(k*k)*1.7)
		if at := rows[k].At; at >= 600 && at < 640 {
			noise = 0.11
		}
		rows[k].Amps += noise
	}
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.InDelta(t, anHour, float64(s.StartS), 15)
}

// The limit voltage came at once, so that nobody saw what the charger would give: what flowed in
// the end is then no share of that, and nothing was interrupted.
func TestAFullBatteryAtItsLimitAtOnceDropsNothing(t *testing.T) {
	rows := metered(10, 0.001, 0.001, idle(1800, 25.8), fade(900, 29.3, 0.36, 2200), settle(anHour, 29, 25.8, 900))
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.Empty(t, warningsOf(&s))

	rows = metered(10, 0.001, 0.001, idle(1800, 25.0), ramp(anHour, 26, 29.3, 2, 2), fade(900, 29.3, 2, 2200), settle(anHour, 29, 25.8, 900))
	s = run(analyze.Options{}, rows).Sessions[0]
	assert.Equal(t, []string{analyze.CodeCurrentDropped}, warningsOf(&s))
}

// A panel in the shade leaves the battery at a voltage at which no lead-acid battery fills; that
// little went in says nothing of its plates.
func TestASourceTooLowTellsNothingOfThePlates(t *testing.T) {
	for volts, worn := range map[float64]bool{12.7: false, 14.2: true} {
		rows := metered(10, 0.001, 0.001, idle(1800, 11.7), ramp(600, 12.2, volts, 6, 6), fade(anHour, volts, 6, 800), settle(anHour, volts, 11.9, 900))
		s := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 60 * 3600}, rows).Sessions[0]
		if worn {
			assert.Equal(t, []string{analyze.CodeAcceptsLittle}, warningsOf(&s), "%g V", volts)
		} else {
			assert.Empty(t, warningsOf(&s), "%g V", volts)
		}
	}
}

// A good battery that was half empty takes its half, however strong the charger.
func TestAQuickChargeIsNoWornBattery(t *testing.T) {
	rows := metered(10, 0.001, 0.001, idle(1800, 12.1), ramp(1500, 12.9, 14.4, 17, 17), fade(anHour, 14.4, 17, 900), settle(anHour, 13.5, 12.9, 900))
	for _, o := range []analyze.Options{{}, {Chemistry: analyze.LeadAGM, Cells: 6}, agm17} {
		s := run(o, rows).Sessions[0]
		assert.Empty(t, warningsOf(&s))
	}
}

// A plain transformer gives less as the battery fills: the voltage climbs while the current falls
// to a fraction. That is neither a charger that throttles nor, once it is unplugged in the
// morning, a charge that was dropped. Where the voltage falls with the current, it is.
func TestATransformerThatFadesIsNoThrottle(t *testing.T) {
	for last, fades := range map[float64]bool{15.5: true, 12.9: false} {
		middle := map[bool]float64{true: 0.65, false: 0.95}[fades]
		rows := metered(30, 0.01, 0.001, idle(1800, 11.9), ramp(6*anHour, 12.3, 13.6, 0.95, middle), ramp(anHour, 13.6, last-0.1, middle, 0.16),
			ramp(3*anHour, last-0.1, last, 0.16, 0.15), settle(anHour, 13.1, 12.9, 900))
		s := run(analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 6, Capacity: 7.2 * 3600}, rows).Sessions[0]
		if fades {
			assert.Empty(t, warningsOf(&s), "to %g V", last)
		} else {
			assert.Contains(t, warningsOf(&s), analyze.CodeStalled, "to %g V", last)
		}
	}
}

// Chargers that go by how fast nickel warms stop while its voltage climbs to the peak, whether
// somebody named it or not.
func TestNickelThatClimbsToItsPeakIsNotDropped(t *testing.T) {
	for steep, dropped := range map[float64]bool{0.04: true, 0.3: false} {
		rows := metered(10, 0.001, 0.001, idle(600, 7.6), ramp(0.6*anHour, 8.2, 8.44, 2, 2), ramp(0.1*anHour, 8.44, 8.44+steep, 2, 2), settle(anHour, 8.3, 8.1, 900))
		for _, o := range []analyze.Options{{Chemistry: analyze.NiMH, Cells: 6, Capacity: 2 * 3600}, {}} {
			s := run(o, rows).Sessions[0]
			if dropped {
				assert.Equal(t, []string{analyze.CodeCurrentDropped}, warningsOf(&s), "%g V, %s", steep, o.Chemistry)
			} else {
				assert.Empty(t, warningsOf(&s), "%g V, %s", steep, o.Chemistry)
			}
		}
	}
}

// Ten cells of nickel that nobody named stand where six of lead-acid do; how they warm tells them.
func TestCellsThatWarmedInTheEndWereNotDropped(t *testing.T) {
	for warms, told := range map[float64][]string{1. / 60: nil, 1. / 600: {analyze.CodeCurrentDropped}} {
		rows := metered(10, 0.01, 0.001, idle(600, 12.6), ramp(0.7*anHour, 14.0, 14.5, 2, 2), settle(anHour, 13.9, 13.6, 900))
		for k := range rows {
			rows[k].Celsius = 22 + warms*max(min(rows[k].At, 600+0.7*anHour)-2700, 0)
		}
		s := run(analyze.Options{}, rows).Sessions[0]
		assert.ElementsMatch(t, told, warningsOf(&s), "%g K/s", warms)
	}
}

// A charger stops by its own meter at the tail, which this one reads a little above it. More than
// it can be off by is another end.
func TestATailWithinTheMetersErrorIsOne(t *testing.T) {
	for ends, want := range map[float64]analyze.Outcome{0.301: analyze.Complete, 0.4: analyze.CutShort} {
		tau := 3000.0
		rows := metered(2, 0.01, 0.001, idle(600, 12.6), ramp(2*anHour, 13.2, 14.4, 1.8, 1.8), fade(tau*math.Log(1.8/ends), 14.4, 1.8, tau), settle(anHour, 14, 13.5, 900))
		s := run(analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 6 * 3600}, rows).Sessions[0]
		assert.Equal(t, want, s.Outcome, "stops at %g A, tail 0.3 A", ends)
	}
}

// A charger that trickles after the peak of a nickel pack that nobody named may do so for a day.
func TestATrickleAfterThePeakIsNoLongCharge(t *testing.T) {
	rows := script(30, idle(600, 10.4), ramp(3*anHour, 10.9, 11.3, 0.2, 0.2), ramp(2*anHour, 11.3, 11.9, 0.2, 0.2),
		ramp(2*anHour, 11.9, 11.78, 0.2, 0.2), steady(15*anHour, 11.3, 0.05))
	assert.Empty(t, warningsOf(&run(analyze.Options{}, rows).Sessions[0]))
}
