package analyze_test

import (
	"fmt"
	"math"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const hour = 3600

// told is what a machine told while a night went by.
type told struct {
	document analyze.Document
	raised   map[string]analyze.Event // the first of a code
	cleared  map[string]analyze.Event
}

func live(o analyze.Options, rows []analyze.Sample) told {
	m := analyze.New(o)
	w := told{raised: map[string]analyze.Event{}, cleared: map[string]analyze.Event{}}
	for _, s := range rows {
		for _, e := range m.Step(s) {
			switch e.Kind {
			case analyze.FindingRaised:
				if _, ok := w.raised[e.Finding.Code]; !ok {
					w.raised[e.Finding.Code] = e
				}
			case analyze.FindingCleared:
				w.cleared[e.Finding.Code] = e
			}
		}
	}
	w.document = m.Document()
	return w
}

// codes are the findings of a document that are more than notes.
func codes(d analyze.Document) []string {
	var list []string
	for _, s := range d.Sessions {
		for _, f := range s.Findings {
			if f.Severity != analyze.Note {
				list = append(list, f.Code)
			}
		}
	}
	return list
}

// known is what the label of a night's battery says.
func known(n madeup.Night) analyze.Options {
	return analyze.Options{Chemistry: n.Battery.Chemistry, Cells: n.Battery.Cells, Capacity: n.Battery.CapacityAh * hour}
}

func trouble(t *testing.T, name string) madeup.Night {
	for _, n := range madeup.Troubles() {
		if n.Name == name {
			return n
		}
	}
	require.Fail(t, "no such night", name)
	return madeup.Night{}
}

func night(t *testing.T, name string) madeup.Night {
	for _, n := range madeup.Nights() {
		if n.Name == name {
			return n
		}
	}
	require.Fail(t, "no such night", name)
	return madeup.Night{}
}

func TestThermalRunaway(t *testing.T) {
	n := trouble(t, "runaway")
	rows, _ := n.Collect()
	for name, o := range map[string]analyze.Options{"unknown": {}, "known": known(n)} {
		t.Run(name, func(t *testing.T) {
			w := live(o, rows)
			e, ok := w.raised[analyze.CodeThermalRunaway]
			require.True(t, ok)
			assert.InDelta(t, 4.3*hour, e.At, 0.3*hour, "it begins at 4 h")
			assert.Less(t, e.Seen, 5.2*hour)
			assert.Equal(t, analyze.Faulted, w.document.Sessions[0].Outcome)
		})
	}
	n.Faults.RunawayAt = 0
	rows, _ = n.Collect()
	assert.NotContains(t, live(known(n), rows).raised, analyze.CodeThermalRunaway)
}

// A second absorption raises voltage and current; a load that is switched on is
// a step; a float current comes back after the step down.
func TestThermalRunawayNeighbours(t *testing.T) {
	taper := func(t float64) float64 { return 0.5 + 4*math.Exp(-t/hour) }
	for name, row := range map[string]func(t float64) (v, i float64){
		"second absorption": func(t float64) (v, i float64) {
			if t < 5*hour {
				return 14.4, taper(t)
			}
			return 14.7, 0.8 + 0.4*(1-math.Exp(-(t-5*hour)/hour))
		},
		"load switched on": func(t float64) (v, i float64) {
			if t < 5*hour {
				return 14.4, taper(t)
			}
			return 14.4, taper(t) + 2
		},
		"float current comes back": func(t float64) (v, i float64) {
			if t < 3*hour {
				return 14.4, taper(t)
			}
			return 13.6, 0.02 + 0.3*(1-math.Exp(-(t-3*hour)/hour))
		},
	} {
		t.Run(name, func(t *testing.T) {
			rows := rise(14.4)
			for s := 0.0; s < 8*hour; s += 10 {
				v, i := row(s)
				rows = append(rows, reading(3*hour+s, v, i))
			}
			w := live(analyze.Options{Chemistry: analyze.LeadAGM, Capacity: 45 * hour}, rows)
			assert.NotContains(t, w.raised, analyze.CodeThermalRunaway)
		})
	}
}

func reading(at, volts, amps float64) analyze.Sample {
	return analyze.Sample{At: at, Volts: volts, Amps: amps, Celsius: math.NaN(), Counter: math.NaN()}
}

// rise is three hours of 4.5 A up to a voltage, after a minute of rest.
func rise(volts float64) []analyze.Sample {
	var rows []analyze.Sample
	for s := 0.0; s < 3*hour; s += 10 {
		if s < 60 {
			rows = append(rows, reading(s, 0.87*volts, 0))
			continue
		}
		x := s / (3 * hour)
		rows = append(rows, reading(s, volts*(0.89+0.11*x*x), 4.5))
	}
	return rows
}

func TestOverVoltage(t *testing.T) {
	cold, hot := night(t, "mower-float"), night(t, "mower-float")
	cold.Battery.Celsius, hot.Battery.Celsius = 0, 40
	for _, c := range []struct {
		name  string
		night madeup.Night
		volts float64
		want  bool
	}{
		// 2.65 V a cell at 25 °C, -4 mV/K: 15.5 V at 40 °C, 16.5 V at 0 °C.
		{"too high in the heat", hot, 15.7, true},
		{"right in the cold", cold, 15.7, false},
		{"lithium-ion", night(t, "torch-one-cell"), 4.32, true},
		{"lithium-ion within", night(t, "torch-one-cell"), 4.23, false},
		{"iron phosphate", night(t, "outboard-plateau"), 14.95, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.night.Charger.Volts, c.night.Meter.Celsius = c.volts, true
			rows, _ := c.night.Collect()
			o := known(c.night)
			w := live(o, rows)
			e, ok := w.raised[analyze.CodeOverVoltage]
			require.Equal(t, c.want, ok)
			if ok {
				assert.LessOrEqual(t, e.Seen-e.At, 6*c.night.Meter.Every)
				assert.Contains(t, w.cleared, analyze.CodeOverVoltage, "it clears when the charge ends")
			}
		})
	}
	n := night(t, "mower-float")
	rows, _ := n.Collect()
	o := known(n)
	o.Limits.Volts = 14.2
	assert.Contains(t, live(o, rows).raised, analyze.CodeOverVoltage, "as set")
}

func TestTemperature(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*madeup.Night)
		of   string
		want string
	}{
		{"lithium below freezing", func(n *madeup.Night) { n.Battery.Celsius = -6 }, "drill-three-cells", analyze.CodeUnderTemperature},
		{"lithium just above", func(n *madeup.Night) { n.Battery.Celsius = 1 }, "drill-three-cells", ""},
		{"lead-acid in the cold, not empty", func(n *madeup.Night) { n.Battery.Celsius = -6; n.Battery.StateOfCharge = 0.7 }, "mower-float", ""},
		{"lead-acid flat and frozen", func(n *madeup.Night) { n.Battery.Celsius = -18; n.Battery.StateOfCharge = 0.02 }, "mower-float", analyze.CodeUnderTemperature},
		{"lithium in the heat", func(n *madeup.Night) { n.Battery.Celsius = 47 }, "drill-three-cells", analyze.CodeOverTemperature},
		{"lithium warm", func(n *madeup.Night) { n.Battery.Celsius = 40 }, "drill-three-cells", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			n := night(t, c.of)
			n.Meter.Celsius = true
			c.edit(&n)
			rows, _ := n.Collect()
			w := live(known(n), rows)
			if c.want == "" {
				assert.NotContains(t, w.raised, analyze.CodeUnderTemperature)
				assert.NotContains(t, w.raised, analyze.CodeOverTemperature)
				return
			}
			require.Contains(t, w.raised, c.want)
			e := w.raised[c.want]
			assert.Less(t, e.At, 300.0, "from the beginning")
			assert.LessOrEqual(t, e.Seen-e.At, 6*n.Meter.Every)
			assert.Equal(t, analyze.Alarm, e.Finding.Severity)
		})
	}
}

// One odd row is no alarm; a battery that cools down ends one.
func TestTemperatureClears(t *testing.T) {
	at := func(celsius ...float64) told {
		rows := rise(14.4)
		for k := range rows {
			rows[k].Celsius = 30
			if k >= 400 && k < 400+len(celsius) {
				rows[k].Celsius = celsius[k-400]
			}
		}
		return live(analyze.Options{Chemistry: analyze.LeadAGM}, rows)
	}
	assert.Empty(t, at(90, 90).raised, "two odd rows")
	w := at(51, 51, 51, 51, 49, 49, 49, 49, 51, 51)
	require.Contains(t, w.raised, analyze.CodeOverTemperature)
	assert.Equal(t, 4000.0, w.raised[analyze.CodeOverTemperature].At)
	assert.Equal(t, 4100.0, w.cleared[analyze.CodeOverTemperature].At, "only well below the limit")
}

func TestReversedLeads(t *testing.T) {
	rows, _ := trouble(t, "reversed-leads").Collect()
	w := live(analyze.Options{}, rows)
	require.Contains(t, w.raised, analyze.CodeReversePolarity)
	assert.LessOrEqual(t, w.raised[analyze.CodeReversePolarity].Seen, 30.0)
	assert.NotContains(t, w.cleared, analyze.CodeReversePolarity)

	for k := range rows[len(rows)/2:] {
		rows[len(rows)/2+k].Volts *= -1
	}
	assert.Contains(t, live(analyze.Options{}, rows).cleared, analyze.CodeReversePolarity, "somebody turned them round")
}

func TestOpenLead(t *testing.T) {
	n := trouble(t, "open-lead")
	rows, _ := n.Collect()
	w := live(analyze.Options{}, rows)
	require.Contains(t, w.raised, analyze.CodeOpenCircuit)
	assert.InDelta(t, 3000, w.raised[analyze.CodeOpenCircuit].At, 10)
	assert.Less(t, w.raised[analyze.CodeOpenCircuit].Seen, 3060.0)
	assert.Equal(t, analyze.Faulted, w.document.Sessions[0].Outcome)

	n.Faults = madeup.Faults{Lost: []madeup.Span{{From: 3000, To: 3300}}} // the mains were away
	rows, _ = n.Collect()
	assert.NotContains(t, live(analyze.Options{}, rows).raised, analyze.CodeOpenCircuit)
}

// A good night has no warning and no alarm, whether the battery is known or not.
func TestGoodNightsAreQuiet(t *testing.T) {
	nights := madeup.Nights()
	for seed := range uint64(60) {
		nights = append(nights, madeup.Random(seed+1))
	}
	for _, n := range nights {
		if !n.Good {
			continue
		}
		t.Run(n.Name, func(t *testing.T) {
			rows, _ := n.Collect()
			o := known(n)
			for what, o := range map[string]analyze.Options{"nothing": {}, "all": o} {
				w := live(o, rows)
				assert.Empty(t, codes(w.document), fmt.Sprintf("with %s known", what))
				for code, e := range w.raised {
					assert.Equal(t, analyze.Note, e.Finding.Severity, code)
				}
			}
		})
	}
}
