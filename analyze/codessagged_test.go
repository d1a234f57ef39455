package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

// A battery that heats itself under all of the current that its charger gives, and what merely looks a little like it.

// limited is the usual charge, but that a battery so warm fades by little at its limit: the current turns and is back at all
// there is after an hour. Then the voltage goes where it is told.
func limited(then ...part) func() []analyze.Sample {
	turns := part{anHour, always(14.4), func(t float64) float64 { return 5 - 0.45*math.Sin(math.Pi*t/anHour) }}
	return func() []analyze.Sample {
		return jittered(script(10, append([]part{before, current, turns}, then...)...), 0.01)
	}
}

const sagsFrom = 600 + 4*anHour // s

func saggingNights() []must {
	crest := part{anHour, func(t float64) float64 { return 14.1 + 0.1*math.Sin(math.Pi/2*t/anHour) }, always(5)}
	return []must{
		{code: "thermal-runaway", name: "the voltage sags under all of the current", of: []analyze.Options{{Chemistry: analyze.LeadAGM, Cells: 6}, agm17}, rows: limited(ramp(2*anHour, 14.4, 13.8, 5, 5), settle(anHour, 13.4, 13, 900)),
			begins: sagsFrom, give: 900, within: 2400, ends: sagsFrom + 2*anHour, settles: 20, says: []string{"from 14.40 to 14.2", "all of the 5 A", "Switch the charger off now"}},
		{code: "thermal-runaway", name: "from a crest below any limit", of: []analyze.Options{{Chemistry: analyze.LeadAGM, Cells: 6}}, rows: func() []analyze.Sample {
			return jittered(script(10, before, ramp(3*anHour, 12.6, 14.1, 5, 5), crest, ramp(2*anHour, 14.2, 13.6, 5, 5), settle(anHour, 13.4, 13, 900)), 0.01)
		}, begins: sagsFrom, give: 1800, within: 2400, ends: sagsFrom + 2*anHour, settles: 20, says: []string{"from 14.20 to 14.0"}},
		{code: "thermal-runaway", name: "of a battery that nobody named, when it is no nickel any more", rows: func() []analyze.Sample {
			return jittered(script(10, before, ramp(3*anHour, 12.6, 14.1, 5, 5), crest, ramp(4*anHour, 14.2, 13.4, 5, 5), settle(anHour, 13.4, 13, 900)), 0.01)
		}, begins: sagsFrom, give: 1800, within: 3 * anHour, ends: sagsFrom + 4*anHour, settles: 20, says: []string{"from 14.20 to 13."}},
	}
}

// What takes a voltage down for a reason of its own does so at once, takes the current with it, or brings it back.
func TestWhatDoesNotSagUnderAllOfTheCurrentIsNoRunaway(t *testing.T) {
	gives := part{anHour, func(t float64) float64 { return 13.7 + 0.3*math.Exp(-t/1500) }, always(5)}
	end := fade(2*anHour, 14.4, 4.5, 2000)
	for name, rows := range map[string]func() []analyze.Sample{
		"a load comes on, and the battery gives way": limited(gives, end),
		"another one, later":                         limited(steady(600, 14, 5), ramp(1200, 14, 13.9, 5, 5), steady(anHour, 13.5, 5), end),
		"its source fades":                           limited(ramp(anHour, 14.4, 14, 5, 4), end),
		"it warms by some degrees":                   limited(ramp(anHour, 14.4, 14.3, 5, 5), end),
		"a charger without a limit": func() []analyze.Sample {
			return jittered(script(10, before, ramp(3*anHour, 12.6, 15.5, 5, 5), ramp(3*anHour, 15.5, 15.2, 5, 5)), 0.01)
		},
		"it was empty for long": func() []analyze.Sample {
			return jittered(script(10, before, ramp(anHour, 14.4, 14.4, 4.9, 5), ramp(anHour, 14.4, 12.6, 5, 5), ramp(3*anHour, 12.6, 14.4, 5, 5), end), 0.01)
		},
	} {
		for _, o := range []analyze.Options{{}, agm17} {
			assert.NotContains(t, warnings(run(o, rows())), analyze.CodeThermalRunaway, name)
		}
	}
	assert.Contains(t, warnings(run(agm17, limited(ramp(anHour, 14.4, 14.1, 5, 5))())), analyze.CodeThermalRunaway)
}

// A battery whose voltage crests and then sags by far more than nickel's was not full at the crest.
func TestWhatSagsByFarIsNotComplete(t *testing.T) {
	crest := part{anHour, func(t float64) float64 { return 14.1 + 0.1*math.Sin(math.Pi/2*t/anHour) }, always(5)}
	sagging := func(hours, to float64) analyze.Session {
		rows := jittered(script(10, before, ramp(3*anHour, 12.8, 14.1, 5, 5), crest, ramp(hours*anHour, 14.2, to, 5, 5)), 0.01)
		return run(analyze.Options{}, rows).Sessions[0]
	}
	assert.Equal(t, analyze.EndVoltagePeak, sagging(1, 14.05).EndedBy, "it may be nickel")
	assert.Equal(t, analyze.Running, sagging(4, 13.4).Outcome)
}

// A lead that comes off as the voltage rounds is what stopped the current, not a charger that saw nickel full.
func TestALeadThatComesOffLeavesNoNickelFull(t *testing.T) {
	round := part{anHour, func(t float64) float64 { return 13.4 + 0.5*(1-math.Exp(-t/1200)) }, always(3)}
	rows := script(5, idle(600, 12.4), ramp(600, 13, 13.2, 3, 3), ramp(1200, 13.2, 13.4, 3, 3), round, steady(anHour, 14.6, 0))
	s := run(analyze.Options{}, rows).Sessions[0]
	assert.Contains(t, codesOf(&s), analyze.CodeOpenCircuit)
	assert.Equal(t, analyze.Faulted, s.Outcome)
}
