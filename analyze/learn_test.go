package analyze_test

import (
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What comes to be known of the battery in its first minute, in mid-charge or while it rests
// holds from then on, and for all that is said of the charge in the end.
func TestWhatIsLearnedOfTheBatteryHoldsFromThenOn(t *testing.T) {
	rows := script(10, idle(600, 12.2), ramp(4*anHour, 12.6, 16.3, 5, 5), settle(2*anHour, 13.6, 12.9, 1200))
	for at, tooHigh := range map[float64]bool{630: true, 2 * anHour: true, 4.5 * anHour: false} {
		m := analyze.New(analyze.Options{})
		for _, s := range rows {
			if s.At == at {
				m.Learn(agm17)
			}
			m.Step(s)
		}
		d := m.Document()
		require.Len(t, d.Sessions, 1)
		s := &d.Sessions[0]
		assert.Equal(t, analyze.LeadAGM, s.Chemistry)
		require.NotNil(t, s.Capacity)
		assert.InDelta(t, 17, float64(s.Capacity.RatedAh), 1e-9)
		require.NotNil(t, s.Rest)
		assert.Contains(t, s.Rest.Method, "AGM")
		if tooHigh {
			assert.Contains(t, codesOf(s), analyze.CodeOverVoltage, "learned at %g s", at)
		} else {
			assert.NotContains(t, codesOf(s), analyze.CodeOverVoltage, "the current had stopped")
		}
	}
}

// A limit that follows from it is kept an eye on at once, in the first minute of a charge too.
func TestALimitThatIsLearnedHoldsAtOnce(t *testing.T) {
	rows := script(10, idle(600, 12.6), steady(anHour, 16.3, 5))
	for _, at := range []float64{620, 680, 2000} {
		m, told := analyze.New(analyze.Options{}), 0.0
		for _, s := range rows {
			if s.At == at {
				m.Learn(agm17)
			}
			for _, e := range m.Step(s) {
				if e.Finding.Code == analyze.CodeOverVoltage && told == 0 {
					told = s.At
				}
			}
		}
		assert.InDelta(t, at+40, told, 20, "learned at %g s", at)
	}
}

// What was foretold before goes by what was known then, whoever asked for it, and when.
func TestWhatIsLearnedChangesNoForecastOfBefore(t *testing.T) {
	rows := script(10, idle(600, 12.2), ramp(4*anHour, 12.6, 14.4, 5, 5), fade(4*anHour, 14.4, 5, anHour))
	known := agm17
	known.Earlier = []analyze.Earlier{{ChargeIn: 22 * anHour, Seconds: 6 * anHour, Constant: 4 * anHour, ConstantIn: 20 * anHour, SetAmps: 5, HeldVolts: 14.4, TailAmps: 1}}
	at := int(600+5*anHour) / 10
	live, late := analyze.New(agm17), analyze.New(agm17)
	for _, s := range rows[:at] {
		live.Step(s)
	}
	late.StepBlock(rows[:at])
	live.Learn(known)
	late.Learn(known)
	for _, s := range rows[at : at+30] {
		live.Step(s)
	}
	late.StepBlock(rows[at : at+30])
	assert.Equal(t, asJSON(t, live.Document()), asJSON(t, late.Document()))
}
