package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// Two per cent of 60 Ah are 1.2 A: a current below it shows no end. 1.15 to 1.3 times
// 60 Ah at 0.1 A take 690 to 780 h.
func TestPlanBelowTheTailTellsNoEndByCurrent(t *testing.T) {
	plan := func(c analyze.Chemistry, cells int, amps float64) (Advice, string) {
		a := must(t, func(in *Input) {
			in.Chemistry, in.Cells, in.Capacity, in.Rate, in.Timer = c, cells, 60*ampereHour, amps, 1000*hour
		})
		return a, strings.Join(a.Warnings, "\n")
	}
	low, told := plan(analyze.LeadFlooded, 6, 0.1)
	assert.False(t, analyze.Known(low.Charger.TailA))
	assert.Contains(t, told, "0.1 A is not clearly more than the 1.2 A that the current of a full battery falls to (2 % of the capacity)")
	assert.Contains(t, told, "it takes 690 to 780 h")
	for _, r := range low.Hours.Reasons {
		assert.NotContains(t, r.Why, "tapers", "there is no taper to wait for")
	}

	for _, c := range []struct {
		kind  analyze.Chemistry
		cells int
		amps  float64
	}{{analyze.LeadFlooded, 6, 1.3}, {analyze.LiIon, 3, 3.2}, {analyze.NiMH, 6, 0.1}} {
		_, told := plan(c.kind, c.cells, c.amps)
		assert.Empty(t, told, "%s at %g A", c.kind, c.amps)
	}
	_, told = plan(analyze.LiFePO4, 4, 3)
	assert.Contains(t, told, "3 A is not clearly more than the 3 A", "at the tail itself there is none to fall to")
}
