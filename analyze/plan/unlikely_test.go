package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

func TestALabelThatHardlyAnyBatteryHasIsDoubted(t *testing.T) {
	for _, c := range []struct {
		set  func(*Input)
		want string // nothing: it is likely
	}{
		{func(in *Input) { in.Reserve = 1e6 * minute }, "1000000 min is doubted: labels of lead-flooded batteries have reserve capacities of 10 to 1000 min"},
		{func(in *Input) { in.Reserve = 1.5 * minute }, "1.5 min is doubted"}, // an hour and a half
		{func(in *Input) { in.Capacity = 60000 * ampereHour }, "60000 Ah is doubted"},
		{func(in *Input) { in.Capacity = 0.06 * ampereHour }, "0.06 Ah is doubted"},
		{func(in *Input) { in.Chemistry, in.Cells, in.Capacity = analyze.NiMH, 1, 2000*ampereHour }, "small cells are labelled in mAh"},
		{func(in *Input) { in.Chemistry, in.Cells, in.Energy = analyze.LiIon, 10, 500000*3600 }, "doubted"}, // 500 kWh
		{func(in *Input) { in.Capacity, in.RatedTime = 60*ampereHour, 20000*hour }, "20000 h is doubted"},
		{func(in *Input) { in.Reserve = 25 * minute }, ""},
		{func(in *Input) { in.Reserve = 850 * minute }, ""},
		{func(in *Input) { in.Capacity = 1.2 * ampereHour }, ""},
		{func(in *Input) { in.Capacity, in.RatedTime = 900*ampereHour, 120*hour }, ""},
		{func(in *Input) { in.Chemistry, in.Cells, in.Capacity = analyze.LiFePO4, 16, 628*ampereHour }, ""},
		{func(in *Input) { in.Chemistry, in.Cells, in.Capacity = analyze.LiIon, 1, 0.04*ampereHour }, ""},
		{func(in *Input) { in.Chemistry, in.Cells, in.Capacity = analyze.NiMH, 7, 0.3*ampereHour }, ""},
	} {
		a := must(t, c.set)
		if told := strings.Join(a.Warnings, "\n"); c.want == "" {
			assert.NotContains(t, told, "doubted", "%+v", with(c.set))
		} else {
			assert.Contains(t, a.Warnings[0], c.want)
		}
	}
}
