package report

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/plan"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPlanBeginsWithWhatToSet holds the first sentence to the figures below it.
func TestPlanBeginsWithWhatToSet(t *testing.T) {
	first := func(change func(*plan.Input)) string {
		in := plan.NewInput()
		change(&in)
		advice, err := plan.Plan(in)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, Plan(&b, advice))
		parts := strings.Split(b.String(), "\n\n")
		return strings.Join(strings.Fields(parts[1]), " ")
	}
	assert.Equal(t, "Set 6.00 A and 14.40 V, the safety timer to 20 h, the capacity cut-off to 78 Ah; allow 12 to 20 h."+
		" It is full when the current has fallen to 1.20 A.",
		first(func(in *plan.Input) { in.Chemistry, in.Capacity, in.RatedTime = analyze.LeadFlooded, 60*3600, 20*3600 }))
	assert.Equal(t, "Do not set 100.00 A: this battery should get 18.00 A at most, and 6.00 A is gentle on it. Set the voltage to 14.40 V.",
		first(func(in *plan.Input) { in.Chemistry, in.Capacity, in.Rate = analyze.LeadFlooded, 60*3600, 100 }))
	assert.Contains(t, first(func(in *plan.Input) { in.Chemistry, in.Capacity, in.RateShare = analyze.LeadFlooded, 60*3600, 0.3 }),
		"Set 18.00 A and 14.40 V", "the most is not too much")
	assert.Equal(t, "It must not be charged as it is.",
		first(func(in *plan.Input) {
			in.Chemistry, in.Cells, in.Capacity, in.Celsius = analyze.LiFePO4, 4, 100*3600, -3
		}))
	assert.Equal(t, "A capacity is needed before a current can be named.",
		first(func(in *plan.Input) { in.Chemistry, in.Cells = analyze.LiIon, 5 }))
}

// A charger that is told less than goes in ends every charge too early.
func TestPlanTellsACutOffThatIsEnough(t *testing.T) {
	for _, c := range []struct {
		kind  analyze.Chemistry
		cells int
		ah    float64
		want  string
	}{
		{analyze.NiMH, 7, 0.3, "0.48"}, // 1.6 times
		{analyze.LeadAGM, 6, 1.2, "1.4"},
		{analyze.LeadAGM, 6, 0.04, "0.045"},
		{analyze.LiFePO4, 4, 100, "105"},
	} {
		in := plan.NewInput()
		in.Chemistry, in.Cells, in.Capacity = c.kind, c.cells, c.ah*3600
		advice, err := plan.Plan(in)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, Plan(&b, advice))
		assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "the capacity cut-off to "+c.want+" Ah")
		assert.Regexp(t, `capacity cut-off +`+c.want+`(\.0)? +Ah`, b.String())
		assert.Contains(t, advice.Limits, "charge: "+c.want+"Ah")
		assert.GreaterOrEqual(t, float64(advice.Charger.CutOffAh), float64(advice.Hours.ReturnHighAh))
	}
}

// A tenth of 40 mAh is 4 mA, and not nothing.
func TestPlanTellsTheCurrentsOfASmallPack(t *testing.T) {
	in := plan.NewInput()
	in.Chemistry, in.Capacity = analyze.LeadAGM, 0.04*3600
	advice, err := plan.Plan(in)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, Plan(&b, advice))
	page := strings.Join(strings.Fields(b.String()), " ")
	for _, want := range []string{"Set 0.004 A and", "fallen to 0.0008 A", "cautious 0.004 A", "fastest 0.012 A"} {
		assert.Contains(t, page, want)
	}
}

// TestPlanLosesNothing looks for everything that is said in the advice.
func TestPlanLosesNothing(t *testing.T) {
	for _, c := range analyze.Chemistries() {
		in := plan.NewInput()
		in.Chemistry, in.Cells, in.Capacity, in.RatedTime = c, 6, 60*3600, 20*3600
		in.Timer, in.LeadLength, in.LeadArea, in.ColdCranking = 2*3600, 1.5, 2.5e-6, 300
		if c.Lead() {
			in.Reserve = 85 * 60
		}
		advice, err := plan.Plan(in)
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, Plan(&b, advice))
		page := strings.Join(strings.Fields(b.String()), " ")

		reasons := slices.Concat(advice.Capacity.Reasons, advice.Current.Reasons, advice.Voltage.Reasons, advice.Charger.Reasons, advice.Hours.Reasons, advice.Leads.Reasons)
		if advice.Ventilation != nil {
			reasons = append(reasons, advice.Ventilation.Reasons...)
		}
		for _, r := range reasons {
			assert.Contains(t, page, r.Why, "%s: %s", c, r.Of)
			assert.Contains(t, page, r.Source, "%s: %s", c, r.Of)
		}
		for _, caution := range advice.Cautions {
			assert.Contains(t, page, caution.Text)
		}
		for _, said := range slices.Concat(advice.Warnings, advice.Assumptions, advice.Missing) {
			assert.Contains(t, page, said)
		}
		assert.Contains(t, b.String(), "\n  "+strings.TrimSpace(advice.Limits)+"\n")
		assert.Less(t, strings.Index(b.String(), "Warnings"), strings.Index(b.String(), "Capacity"))
		assert.NotContains(t, page, "NaN")
	}
}
