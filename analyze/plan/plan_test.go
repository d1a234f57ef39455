package plan

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

func with(set func(*Input)) Input {
	in := NewInput()
	set(&in)
	return in
}

func must(t *testing.T, set func(*Input)) Advice {
	t.Helper()
	a, err := Plan(with(set))
	require.NoError(t, err)
	return a
}

// 85 min is 35.4 Ah at 25 A: a tenth is 3.5 A.
func TestPlanFromReserveMinutes(t *testing.T) {
	a := must(t, func(in *Input) { in.Reserve = 85 * minute })
	assert.InDelta(t, 35.417, float64(a.Capacity.At25AAh), 0.001)
	assert.Equal(t, a.Capacity.At25AAh, a.Capacity.CautiousAh)
	assert.InDelta(t, 52.3, float64(a.Capacity.TwentyHourAh), 0.1)
	assert.Less(t, a.Capacity.TwentyHourLowAh, a.Capacity.TwentyHourHighAh)
	assert.InDelta(t, 3.54, float64(a.Current.CautiousA), 0.01)
	assert.InDelta(t, 10.6, float64(a.Current.FastestA), 0.1)
	assert.InDelta(t, 14.4, float64(a.Voltage.AbsorptionV), 1e-9)
	assert.InDelta(t, 13.5, float64(a.Voltage.FloatV), 1e-9)
	require.NotNil(t, a.Hours)
	assert.Less(t, float64(a.Hours.LowH), 12.0, "the battery may hold no more than the 25 A rate says")
	assert.Greater(t, float64(a.Hours.HighH), 20.0, "or as much as the 20-hour rate says")
	assert.True(t, a.MayCharge)
	assert.Contains(t, strings.Join(a.Warnings, "\n"), "2 h by default")
	assert.Contains(t, strings.Join(a.Assumptions, "\n"), "no chemistry was given")
}

func TestPlanFromAmpereHours(t *testing.T) {
	a := must(t, func(in *Input) {
		in.Capacity, in.Chemistry, in.Celsius, in.Timer = 60*ampereHour, analyze.LeadFlooded, 25, 24*hour
	})
	assert.InDelta(t, 6, float64(a.Current.CautiousA), 1e-9)
	assert.InDelta(t, 18, float64(a.Current.FastestA), 1e-9)
	assert.Equal(t, "12 to 20 h", a.Hours.Spoken)
	assert.InDelta(t, 20, float64(a.Charger.TimerH), 1e-9)
	assert.InDelta(t, 78, float64(a.Charger.CutOffAh), 1e-9)
	assert.InDelta(t, 1.2, float64(a.Charger.TailA), 1e-9)
	assert.Equal(t, "limits: {hours: 20, celsius: 50, charge: 78Ah}", a.Limits)
	assert.Empty(t, a.Warnings)
	assert.Empty(t, a.Missing)
	require.NotNil(t, a.Ventilation)
	assert.InDelta(t, 0.36, float64(a.Ventilation.AirflowM3PerH), 0.001)
	assert.InDelta(t, 10.08, float64(a.Ventilation.OpeningCm2), 0.001)
	assert.InDelta(t, 6*0.4564, float64(a.Ventilation.HydrogenLPerAh), 0.003)
}

// 90 Ah at 20 h is sold as 75 Ah at 5 h and 110 Ah at 100 h (one data sheet).
func TestPlanRefersOtherHourRatesToTwenty(t *testing.T) {
	slow := must(t, func(in *Input) {
		in.Capacity, in.RatedTime, in.Chemistry = 110*ampereHour, 100*hour, analyze.LeadGel
	})
	assert.InDelta(t, 90, float64(slow.Capacity.TwentyHourAh), 5)
	assert.Equal(t, slow.Capacity.TwentyHourAh, slow.Capacity.CautiousAh, "the label flatters")
	quick := must(t, func(in *Input) {
		in.Capacity, in.RatedTime, in.Chemistry = 75*ampereHour, 5*hour, analyze.LeadGel
	})
	assert.InDelta(t, 90, float64(quick.Capacity.TwentyHourAh), 4)
	assert.InDelta(t, 75, float64(quick.Capacity.CautiousAh), 1e-9)
}

func TestPlanReadsPeukertOffALabelWithBothRatings(t *testing.T) {
	a := must(t, func(in *Input) { in.Capacity, in.Reserve = 74*ampereHour, 130*minute })
	assert.InDelta(t, 1.1633, float64(a.Capacity.Peukert), 0.0005)
	assert.InDelta(t, 54.167, float64(a.Capacity.CautiousAh), 0.001)
	assert.InDelta(t, 74, float64(a.Capacity.TwentyHourAh), 1e-9)

	odd := must(t, func(in *Input) { in.Capacity, in.Reserve = 40*ampereHour, 130*minute })
	assert.Contains(t, strings.Join(odd.Warnings, "\n"), "do not fit together")
	assert.False(t, analyze.Known(odd.Capacity.Peukert))
}

func TestPlanFromColdCrankingAmperesAlone(t *testing.T) {
	a := must(t, func(in *Input) { in.ColdCranking = 600 })
	assert.Contains(t, a.Warnings[0], "nothing about its capacity")
	assert.Contains(t, a.Missing[0], "reserve minutes")
	assert.Equal(t, 3.0, float64(a.Current.CautiousA))
	assert.Equal(t, 5.0, float64(a.Current.FastestA))
	assert.Nil(t, a.Hours)
	assert.Equal(t, "limits: {celsius: 50}", a.Limits)

	with60 := must(t, func(in *Input) { in.ColdCranking, in.Capacity = 600, 60*ampereHour })
	assert.NotContains(t, strings.Join(with60.Warnings, "\n"), "cranking")
}

func TestPlanRefusesToChargeWhatWouldBeHarmed(t *testing.T) {
	for _, c := range []struct {
		kind    analyze.Chemistry
		celsius float64
		depth   float64
		want    string
	}{
		{analyze.LeadFlooded, -12, 1, "freezes at -11 °C"},
		{analyze.LeadFlooded, -12, 0.5, ""}, // half charged acid freezes at -24 C
		{analyze.LiFePO4, -1, 1, "below 0 °C"},
		{analyze.LiFePO4, 0, 1, ""},
		{analyze.LiIon, 46, 1, "above the 45 °C limit"},
		{analyze.LeadAGM, 51, 1, "above the 50 °C limit"},
		{analyze.NiMH, -5, 1, ""},
	} {
		a := must(t, func(in *Input) {
			in.Chemistry, in.Celsius, in.Depth, in.Capacity, in.Cells = c.kind, c.celsius, c.depth, 10*ampereHour, 4
		})
		assert.Equal(t, c.want == "", a.MayCharge, c)
		if c.want != "" {
			assert.Contains(t, a.Warnings[0], c.want)
			assert.False(t, analyze.Known(a.Current.CautiousA), "no current is advised")
			assert.Nil(t, a.Hours)
		}
	}
}

func TestPlanWithAChosenCurrentAndLeads(t *testing.T) {
	a := must(t, func(in *Input) {
		in.Capacity, in.Rate, in.Celsius = 20*ampereHour, 10, 20
		in.LeadLength, in.LeadArea = 1.5, 2.5e-6
	})
	assert.Contains(t, strings.Join(a.Warnings, "\n"), "10 A is more than the 6 A")
	require.NotNil(t, a.Leads)
	assert.InDelta(t, 0.2394, float64(a.Leads.DropV), 0.0001)
	assert.InDelta(t, 2.394, float64(a.Leads.HeatW), 0.001)

	share := must(t, func(in *Input) { in.Capacity, in.RateShare = 20*ampereHour, 0.2 })
	assert.InDelta(t, 4, float64(share.Current.ChosenA), 1e-9)
}

func TestPlanForLithiumAndNickel(t *testing.T) {
	a := must(t, func(in *Input) { in.Chemistry, in.Volts, in.Capacity = analyze.LiFePO4, 12.8, 100*ampereHour })
	assert.Equal(t, 4, a.Cells)
	assert.Contains(t, reasons(a.Hours.Reasons), "the current tapers to the tail")
	assert.InDelta(t, 14.6, float64(a.Voltage.AbsorptionV), 1e-9)
	assert.False(t, analyze.Known(a.Voltage.FloatV))
	assert.InDelta(t, 20, float64(a.Current.CautiousA), 1e-9)
	assert.InDelta(t, 5, float64(a.Charger.TailA), 1e-9)
	assert.Nil(t, a.Ventilation)

	n := must(t, func(in *Input) { in.Chemistry, in.Cells, in.Capacity = analyze.NiMH, 6, 2*ampereHour })
	assert.InDelta(t, 0.2, float64(n.Current.CautiousA), 1e-9)
	assert.InDelta(t, 3.2, float64(n.Charger.CutOffAh), 1e-9, "0.2 A for 16 h, IEC 61951-2")
	assert.InDelta(t, 16, float64(n.Charger.TimerH), 1e-9)
	assert.False(t, analyze.Known(n.Voltage.AbsorptionV))

	unknown := must(t, func(in *Input) { in.Chemistry, in.Capacity = analyze.LiIon, 2*ampereHour })
	assert.Contains(t, unknown.Missing[0], "number of cells")
	assert.False(t, analyze.Known(unknown.Voltage.AbsorptionV))
	assert.Equal(t, 4.2, float64(unknown.Voltage.AbsorptionPerCellV))
}

// 1280 Wh at 12.8 V is 100 Ah.
func TestPlanFromWattHours(t *testing.T) {
	a := must(t, func(in *Input) { in.Chemistry, in.Cells, in.Energy = analyze.LiFePO4, 4, 1280*hour })
	assert.InDelta(t, 100, float64(a.Capacity.RatedAh), 1e-9)
	assert.Contains(t, strings.Join(a.Assumptions, "\n"), "100 Ah, from 1280 Wh at 12.8 V")

	b := must(t, func(in *Input) { in.Chemistry, in.Volts, in.Energy = analyze.LiIon, 37, 370*hour })
	assert.InDelta(t, 10, float64(b.Capacity.RatedAh), 1e-9, "the label's own voltage")

	open := must(t, func(in *Input) { in.Chemistry, in.Energy, in.Rate = analyze.LiIon, 370*hour, 2 })
	assert.Equal(t, []string{"the number of cells or the nominal voltage"}, open.Missing)
	assert.Equal(t, 2.0, float64(open.Current.ChosenA))
	assert.False(t, analyze.Known(open.Current.FastestA))
}

func TestPlanRefusesWrongInput(t *testing.T) {
	for want, set := range map[string]func(*Input){
		"capacity is not above zero":        func(in *Input) { in.Capacity = 0 },
		"reserve time is not above zero":    func(in *Input) { in.Reserve = -60 },
		"depth of discharge 1.5":            func(in *Input) { in.Depth = 1.5 },
		"temperature 300 °C":                func(in *Input) { in.Celsius = 300 },
		"-1 cells":                          func(in *Input) { in.Cells = -1 },
		"give one of them":                  func(in *Input) { in.Rate, in.RateShare = 3, 0.1 },
		"both a length and a cross-section": func(in *Input) { in.LeadLength = 2 },
		"both ampere-hours and watt-hours":  func(in *Input) { in.Capacity, in.Energy = 3600, 3600 },
		"rated hours without a capacity":    func(in *Input) { in.RatedTime = 5 * hour },
		"reserve minutes rate lead-acid":    func(in *Input) { in.Reserve, in.Chemistry = 5400, analyze.LiIon },
		"no whole number of lifepo4 cells":  func(in *Input) { in.Volts, in.Chemistry = 21, analyze.LiFePO4 },
		"6 cells and 24 V do not fit":       func(in *Input) { in.Volts, in.Cells = 24, 6 },
	} {
		_, err := Plan(with(set))
		assert.ErrorContains(t, err, want)
	}
}

// Whatever is known or not: JSON comes out, lists are lists, every reason names
// a figure that exists and has a source, and the cautious current is the lesser.
func TestEveryPlanHoldsTogether(t *testing.T) {
	u := analyze.Unknown()
	for _, c := range append(analyze.Chemistries(), "") {
		for _, capacity := range []float64{u, 100 * ampereHour} {
			for _, celsius := range []float64{u, -30, 7, 48} {
				for _, depth := range []float64{u, 0.2, 1} {
					a := must(t, func(in *Input) {
						in.Chemistry, in.Capacity, in.Celsius, in.Depth = c, capacity, celsius, depth
						in.LeadLength, in.LeadArea = 2, 4e-6
					})
					text, err := json.Marshal(a)
					require.NoError(t, err)
					assert.NotContains(t, string(text), `":null,"source"`)
					for _, list := range []string{"warnings", "assumptions", "missing", "cautions", "reasons"} {
						assert.NotContains(t, string(text), `"`+list+`":null`)
					}
					checkReasons(t, text)
					if a.Current.CautiousA > a.Current.FastestA {
						t.Errorf("%s %g %g: cautious above fastest", c, capacity, celsius)
					}
					assert.True(t, strings.HasPrefix(a.Limits, "limits: {") && !strings.Contains(a.Limits, "NaN"), a.Limits)
				}
			}
		}
	}
}

// checkReasons looks every reason's figure up in the group that it stands in.
func checkReasons(t *testing.T, text []byte) {
	t.Helper()
	var groups map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(text, &groups))
	for name, raw := range groups {
		var group map[string]json.RawMessage
		if json.Unmarshal(raw, &group) != nil || group["reasons"] == nil {
			continue
		}
		var reasons []Reason
		require.NoError(t, json.Unmarshal(group["reasons"], &reasons))
		for _, r := range reasons {
			assert.NotEmpty(t, r.Why, "%s %s", name, r.Of)
			assert.NotEmpty(t, r.Source, "%s %s", name, r.Of)
			for _, of := range strings.Split(r.Of, ", ") {
				assert.Contains(t, group, of, "reason in %s", name)
			}
		}
	}
}

func TestCautionsFitTheChemistry(t *testing.T) {
	all := func(c analyze.Chemistry) string {
		var b strings.Builder
		for _, x := range Cautions(c) {
			assert.NotEmpty(t, x.Source, x.Text)
			b.WriteString(x.Text + "\n")
		}
		return b.String()
	}
	for _, c := range analyze.Chemistries() {
		for _, word := range []string{"goggles", "polarity", "Positive first", "no safety device", "local codes"} {
			assert.Contains(t, all(c), word, c)
		}
		assert.Equal(t, !c.Lithium(), strings.Contains(all(c), "Hydrogen"), c)
		assert.Equal(t, c.Lead(), strings.Contains(all(c), "frozen battery"), c)
		assert.Equal(t, c.Lithium(), strings.Contains(all(c), "swelling"), c)
	}
}

func reasons(all []Reason) string {
	var text strings.Builder
	for _, r := range all {
		text.WriteString(r.Why + "\n")
	}
	return text.String()
}

// What a person reads of a charge without a voltage limit, and of a timer of minutes.
func TestReasonsFitWhatIsPlanned(t *testing.T) {
	nickel := must(t, func(in *Input) {
		in.Chemistry, in.Cells, in.Capacity, in.Timer = analyze.NiMH, 10, 5*ampereHour, 90*60
	})
	assert.NotContains(t, reasons(nickel.Hours.Reasons), "voltage limit")
	assert.Contains(t, strings.Join(nickel.Warnings, "\n"), "the charger's own timer of 1.5 h ends")
	short := must(t, func(in *Input) { in.Capacity, in.Timer = 20*ampereHour, 10*60 })
	assert.Contains(t, strings.Join(short.Warnings, "\n"), "the charger's own timer of 10 min ends")
}
