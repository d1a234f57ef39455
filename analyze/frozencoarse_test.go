package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// A small battery comes to what it gasses away, which a meter of hundredths shows in four digits, and that may stand at
// once. What stands halfway there hangs.
func TestACoarseMeterMayStandAtWhatABatteryGassesAway(t *testing.T) {
	falls := part{5 * anHour, always(14.51), func(t float64) float64 { return max(0.04, 0.43-0.39*t/6000) }}
	night := func() []analyze.Sample {
		return metered(30, 0.01, 0.01, idle(600, 12.33), ramp(2.6*anHour, 13.0, 14.5, 0.43, 0.43), falls, settle(anHour, 13.4, 12.9, 900))
	}
	halfway := int((600 + 2.6*anHour + 3000) / 30)
	for _, o := range []analyze.Options{{}, {Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 1.9 * anHour}} {
		s := run(o, night()).Sessions[0]
		assert.NotContains(t, codesOf(&s), analyze.CodeMeterFrozen, "%v Ah", o.Capacity/anHour)
		s = run(o, hung(night, halfway, halfway+360)()).Sessions[0]
		assert.Contains(t, codesOf(&s), analyze.CodeMeterFrozen, "%v Ah", o.Capacity/anHour)
	}
}
