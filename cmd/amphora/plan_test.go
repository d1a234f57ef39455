package main

import (
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/plan"

	"github.com/stretchr/testify/assert"
)

func TestPlanPage(t *testing.T) {
	golden(t, "plan", done(t, "plan", "--reserve-minutes", "85", "--chemistry", "lead-flooded", "--celsius", "10C", "--timer", "2h", "--lead-length", "150cm", "--lead-area", "2.5"))
	golden(t, "plan-frozen", done(t, "plan", "--capacity", "100", "--chemistry", "lifepo4", "--cells", "4", "--celsius", "-3"))
}

// TestPlanUnits checks the conversions at the edge; 85 min at 25 A are 35.4 Ah by
// the definition of reserve capacity.
func TestPlanUnits(t *testing.T) {
	reserve := doneJSON[plan.Advice](t, "plan", "--reserve-minutes", "85", "--cold-cranking", "600")
	assert.InDelta(t, 85.0/2.4, float64(reserve.Capacity.At25AAh), 1e-6)
	assert.Equal(t, done(t, "plan", "--reserve-minutes", "85"), done(t, "plan", "--reserve-minutes", "1h25min"))

	pack := doneJSON[plan.Advice](t, "plan", "--capacity", "80Wh", "--chemistry", "li-ion", "--cells", "5", "--rate", "0.5C", "--depth", "60%", "--celsius", "68F")
	assert.InDelta(t, 80/18.0, float64(pack.Capacity.RatedAh), 0.1)
	assert.InDelta(t, float64(pack.Capacity.CautiousAh)/2, float64(pack.Current.ChosenA), 1e-6)
	assert.InDelta(t, 0.6, float64(pack.Depth), 1e-9)
	assert.InDelta(t, 20, float64(pack.Celsius), 1e-6)

	for _, rate := range []string{"1.7A", "1700mA", "10%", "0.1C", "1.7"} {
		a := doneJSON[plan.Advice](t, "plan", "--capacity", "17Ah", "--rated-hours", "20h", "--chemistry", "lead-agm", "--volts", "12V", "--rate", rate)
		assert.InDelta(t, 1.7, float64(a.Current.ChosenA), 1e-6, rate)
		assert.Equal(t, 6, a.Cells)
	}
}

// What labels write beside a figure is understood, or the message says where it goes.
func TestPlanTakesTheMarksOfLabels(t *testing.T) {
	assert.Equal(t, done(t, "plan", "--capacity", "60Ah", "--rated-hours", "5"), done(t, "plan", "--capacity", "60Ah", "--rated-hours", "C5"))
	assert.Contains(t, done(t, "plan", "--cold-cranking", "500 CCA"), "500 cold-cranking amperes say how hard")
	assert.Equal(t, 8, doneJSON[plan.Advice](t, "plan", "--capacity", "100Ah", "--chemistry", "lifepo4", "--volts", "24V").Cells)

	t.Setenv("AMPHORA_DATA", t.TempDir())
	kept := doneJSON[logbook.Battery](t, "battery", "add", "mower", "--capacity", "18Ah", "--rated-hours", "C10")
	assert.Equal(t, new(10.0), kept.CapacityHours)
	for _, args := range [][]string{{"plan"}, {"battery", "add", "car"}} {
		code, _, complaint := amphora(t, append(args, "--capacity", "60Ah C5")...)
		assert.Equal(t, exitUsage, code)
		assert.Contains(t, complaint, "--rated-hours 5", args)
	}
}

// What does not fit the rest is named by its flag, like what cannot be read.
func TestPlanNamesTheFlagThatIsWrong(t *testing.T) {
	for flag, args := range map[string][]string{
		"--rated-hours":     {"--capacity", "60Ah", "--rated-hours", "0"},
		"--rate":            {"--capacity", "60Ah", "--rate", "-3A"},
		"--volts":           {"--capacity", "60Ah", "--volts", "13"},
		"--lead-area":       {"--capacity", "60Ah", "--lead-length", "1m"},
		"--reserve-minutes": {"--reserve-minutes", "90", "--chemistry", "li-ion"},
	} {
		code, _, complaint := amphora(t, append([]string{"plan"}, args...)...)
		assert.Equal(t, exitUsage, code)
		assert.Contains(t, complaint, "amphora: "+flag+": ")
	}
}

func TestPlanWithoutAnything(t *testing.T) {
	a := doneJSON[plan.Advice](t, "plan")
	assert.False(t, analyze.Known(a.Capacity.RatedAh))
	assert.NotEmpty(t, a.Missing)
}

// A battery that stands in the logbook is planned for as by its label.
func TestPlanForABatteryOfTheLogbook(t *testing.T) {
	t.Setenv("AMPHORA_DATA", t.TempDir())
	done(t, "battery", "add", "mower", "--chemistry", "lead-agm", "--cells", "3", "--capacity", "17Ah", "--rated-hours", "10h")
	done(t, "battery", "add", "car", "--reserve-minutes", "85")
	mower := []string{"--chemistry", "lead-agm", "--cells", "3"}
	plan := func(args ...string) string { return done(t, append([]string{"plan"}, args...)...) }
	assert.Equal(t, plan(append(mower, "--capacity", "17Ah", "--rated-hours", "10", "--depth", "60%")...), plan("--battery", "mower", "--depth", "60%"))
	assert.Equal(t, plan(append(mower, "--capacity", "20Ah")...), plan("--battery", "mower", "--capacity", "20Ah"), "another capacity is rated otherwise")
	assert.Equal(t, plan(append(mower, "--reserve-minutes", "30")...), plan("--battery", "mower", "--reserve-minutes", "30"))
	assert.Equal(t, plan(append(mower, "--capacity", "17Ah", "--rated-hours", "5")...), plan("--battery", "mower", "--rated-hours", "5"))
	assert.Equal(t, plan("--chemistry", "lead-gel", "--volts", "12", "--capacity", "17Ah", "--rated-hours", "10"),
		plan("--battery", "mower", "--chemistry", "lead-gel", "--volts", "12"))
	assert.Equal(t, plan("--chemistry", "lead-agm", "--cells", "6", "--capacity", "17Ah", "--rated-hours", "10"), plan("--battery", "mower", "--cells", "6"))
	assert.Equal(t, plan("--reserve-minutes", "85"), plan("--battery", "car"))
	code, out, complaints := amphora(t, "plan", "--battery", "boat")
	assert.Equal(t, exitFailed, code)
	assert.Empty(t, out)
	assert.Contains(t, complaints, "boat")
}
