package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// finished is a charge that goes on, when the current has faded at 14.4 V, with 0.5 A for three hours, at a voltage
// that climbs to what the gassing battery wants.
func finished(every, climb float64) []analyze.Sample {
	up := func(t float64) float64 { return 14.4 + climb*(1-math.Exp(-t/600)) }
	return script(every, before, current, fade(2.2*anHour, 14.4, 5, anHour), part{3 * anHour, up, always(0.5)}, after)
}

// A constant current at the end is no held voltage, though the voltage stands at last; nor is it what was held before.
func TestALastConstantCurrentIsNoHold(t *testing.T) {
	for _, o := range []analyze.Options{{}, agm17} {
		for _, every := range []float64{5, 60} {
			for _, climb := range []float64{0.25, 0.7} {
				d := run(o, finished(every, climb))
				assert.NotContains(t, warnings(d), analyze.CodeNoTaper)
				s := &d.Sessions[0]
				assert.InDelta(t, 14.40, float64(s.HeldV), 0.01, "the climb of %g V is the battery's", climb)
				v := stageOf(s, analyze.ConstantVoltage)
				require.NotNil(t, v)
				assert.InDelta(t, 600+3*anHour, float64(v.StartS), 2*every+60)
			}
		}
	}
}

// Where the limit is raised, the current leaps and fades, and what stands then is no last current of the charger's.
func TestALimitThatIsRaisedIsAHold(t *testing.T) {
	surge := part{5 * anHour, always(15), func(t float64) float64 { return 0.5 + 1.2*math.Exp(-t/1200) }}
	d := run(agm17, script(10, before, current, fade(2.2*anHour, 14.4, 5, anHour), surge, after))
	assert.Contains(t, warnings(d), analyze.CodeNoTaper)
}

// A charger that steps down to its float soon after it came to the limit has left little of a taper: the step is none of it.
func TestTheBendIsNotDatedByAStepDown(t *testing.T) {
	for _, seconds := range []float64{600, 900, 1500} {
		for _, every := range []float64{2, 10, 30} {
			s := run(agm17, script(every, before, current, fade(seconds, 14.4, 5, 4*anHour), fade(4*anHour, 13.5, 1, 3*anHour), after)).Sessions[0]
			v := stageOf(&s, analyze.ConstantVoltage)
			require.NotNil(t, v)
			assert.InDelta(t, 600+3*anHour, float64(v.StartS), 2*every+60, "%g s at the limit", seconds)
		}
	}
}

// Without a label nobody knows whether a current that stands at a tenth of the charger's is the tail: then a clock may hold
// the limit for hours. Three tenths of it is no battery's tail, and nor is what has stood all night.
func TestWhatMayBeTheTailIsJudgedLater(t *testing.T) {
	assert.NotContains(t, warnings(run(analyze.Options{}, timed(5, 0.6))), analyze.CodeNoTaper)
	assert.Contains(t, warnings(run(analyze.Options{}, timed(5, 1.5))), analyze.CodeNoTaper)
	assert.Contains(t, warnings(run(analyze.Options{}, timed(10, 0.6))), analyze.CodeNoTaper)
	assert.Contains(t, warnings(run(agm17, timed(5, 0.6))), analyze.CodeNoTaper, "the tail is known to be 0.34 A")
}

// timed is a charge at the limit for so many hours, whose current comes to stand at some amps.
func timed(hours, amps float64) []analyze.Sample {
	return script(10, before, current, part{hours * anHour, always(14.4), func(t float64) float64 { return amps + (5-amps)*math.Exp(-t/(anHour/2)) }}, after)
}
