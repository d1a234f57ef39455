package analyze_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// sulphatedAt is an empty battery that leaps to a voltage and takes a current of which little changes, A, for five
// hours; then its charger goes to float.
func sulphatedAt(volts float64, amps func(t float64) float64) []analyze.Sample {
	return script(10, idle(600, 11.86), part{5 * anHour, always(volts), amps}, part{3 * anHour, always(13.4), func(float64) float64 { return 0.6 * amps(5*anHour) }}, settle(anHour, 12.2, 11.93, 900))
}

// An empty battery that leaps to its charger's limit and takes next to nothing there is sulphated, whether the little
// falls or, as the sulphate gives way, grows; its charger did not give way, nor does the battery run away.
func TestALimitThatAnEmptyBatteryLeapsToIsSeen(t *testing.T) {
	agm40 := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}
	for name, amps := range map[string]func(t float64) float64{
		"level": line(0.339, 0.331, 5*anHour),
		"grows": func(t float64) float64 { return 0.5 * math.Exp(t/(5*anHour)) },
		"more":  func(t float64) float64 { return 0.7 * math.Exp(t/(5*anHour)) },
	} {
		rows := sulphatedAt(14.21, amps)
		s := run(agm40, rows).Sessions[0]
		assert.Equal(t, []string{analyze.CodeAcceptsLittle}, warningsOf(&s), name)
		assert.InDelta(t, 14.21, float64(s.HeldV), 0.01, name)
		assert.Equal(t, name != "more", s.Outcome == analyze.Complete, name) // 1.1 A is above the tail
		early := run(agm40, rows[:60+6*65]).Sessions[0]
		assert.Equal(t, []string{analyze.CodeAcceptsLittle}, warningsOf(&early), "%s, after an hour", name)
	}
}

// The same after some rows in which a coarse meter's zero flickered as a current, and where the current grows until the
// charger goes to float.
func TestALeapAfterSomeRowsOfAFlickerIsSeen(t *testing.T) {
	grows := part{5 * anHour, always(14.53), func(t float64) float64 { return 0.74 * math.Exp(t/(6*anHour)) }}
	rows := metered(15, 0.01, 0.01, idle(540, 11.9), steady(60, 11.9, 0.02), grows, steady(3*anHour, 13.62, 1.1), settle(anHour, 12.2, 12.02, 900))
	s := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 100 * anHour}, rows).Sessions[0]
	assert.Contains(t, warningsOf(&s), analyze.CodeAcceptsLittle)
	require.NotNil(t, stageOf(&s, analyze.ConstantVoltage))
	assert.InDelta(t, 600, float64(stageOf(&s, analyze.ConstantVoltage).StartS), 30)
}

// What leaps for another reason, or not so far, is no such limit.
func TestWhatNoLimitRulesIsNoneFromTheFirst(t *testing.T) {
	small := ramp(5*anHour, 12.3, 12.9, 0.339, 0.339)
	for name, rows := range map[string][]analyze.Sample{
		"a small charger":                         script(10, idle(600, 11.86), small, settle(anHour, 12.5, 12.3, 900)),
		"a small charger, and a bad clamp":        script(10, idle(600, 11.86), ramp(8*anHour, 13.9, 14.3, 0.339, 0.339), settle(anHour, 12.5, 12.3, 900)),
		"a full battery that gasses":              script(10, idle(600, 12.80), steady(5*anHour, 14.21, 0.339), settle(anHour, 13.2, 12.9, 900)),
		"plates that recover under a set current": script(10, idle(600, 11.86), steady(anHour, 14.21, 0.9), ramp(4*anHour, 14.15, 12.6, 0.9, 0.9), settle(anHour, 12.5, 12.3, 900)),
		"a voltage at which nothing fills":        script(10, idle(600, 11.86), steady(5*anHour, 13.5, 0.339), settle(anHour, 12.5, 12.3, 900)),
	} {
		s := run(analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * anHour}, rows).Sessions[0]
		assert.False(t, analyze.Known(s.HeldV), name)
		assert.NotContains(t, warningsOf(&s), analyze.CodeAcceptsLittle, name)
	}
	iron := run(analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 40 * anHour}, script(10, idle(600, 10), steady(5*anHour, 13.3, 0.339))).Sessions[0]
	assert.False(t, analyze.Known(iron.HeldV), "the plateau of LiFePO4")
}
