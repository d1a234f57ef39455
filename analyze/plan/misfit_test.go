package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

func TestRatingsThatAreNoPairAreDoubted(t *testing.T) {
	for _, c := range []struct {
		kind    analyze.Chemistry
		ah      float64
		hours   float64
		minutes float64
		want    string // nothing: they are a pair
	}{
		// The two mix-ups: 90 min at 25 A are 37.5 Ah, and no 90 Ah.
		{analyze.LeadFlooded, 37.5, 20, 90, "37.5 Ah is just what 90 reserve minutes at 25 A come to"},
		{analyze.LeadFlooded, 38, 20, 90, "the ampere-hours are doubted"},
		{analyze.LeadFlooded, 90, 20, 90, "90 Ah and 90 reserve minutes are one number"},
		{analyze.LeadFlooded, 40, 20, 130, "(a Peukert exponent of 0.88): that is as much at 25 A as over 20 h, or more"},
		{analyze.LeadFlooded, 100, 20, 40, "too many ampere-hours or too few minutes"},
		{analyze.LeadFlooded, 74, 20, 130, ""}, // published
		{analyze.LeadFlooded, 55, 20, 90, ""},  // a handbook's rule
		{analyze.LeadFlooded, 100, 20, 181, ""},
		{analyze.LeadFlooded, 41.7, 100.0 / 60, 100, ""}, // rated at 25 A: one test, told twice
		{analyze.LeadAGM, 60, 20, 115, ""},               // 1.08
	} {
		a := must(t, func(in *Input) {
			in.Chemistry, in.Capacity, in.RatedTime, in.Reserve, in.Timer = c.kind, c.ah*ampereHour, c.hours*hour, c.minutes*minute, 100*hour
		})
		told := strings.Join(a.Warnings, "\n")
		if c.want == "" {
			assert.Empty(t, told, "%v", c)
			continue
		}
		assert.Contains(t, told, c.want)
		assert.Contains(t, told, "ook at the label")
		assert.False(t, analyze.Known(a.Capacity.Peukert), "%v", c)
	}
}

// 55 to 68 Ah are what the exponents 1.17 and 1.30 make of 90 min, and back.
func TestDoubtedRatingsAreToldWithWhatIsUsual(t *testing.T) {
	told := usualPair(with(func(in *Input) {
		in.Chemistry, in.Capacity, in.RatedTime, in.Reserve = analyze.LeadFlooded, 60*ampereHour, 20*hour, 90*minute
	}))
	assert.Equal(t, "a lead-flooded battery of 60 Ah usually has 76 to 100 min, one of 90 min 55 to 68 Ah over 20 h", told)
}
