package analyze_test

import (
	"amphora/analyze"
	"amphora/analyze/madeup"
)

// changed is a night on which something was otherwise; its meter has a thermometer.
func changed(name string, edit func(*madeup.Night)) madeup.Night {
	n := madeup.Named(name)
	n.Meter.Celsius = true
	edit(&n)
	return n
}

// known is what the label of a night's battery says.
func known(n madeup.Night) analyze.Options {
	return analyze.Options{Chemistry: n.Battery.Chemistry, Cells: n.Battery.Cells, Capacity: n.Battery.CapacityAh * anHour}
}

// lastFlow is when charging current truly flowed last on a night, s.
func lastFlow(n madeup.Night) float64 { return float64(n.Truth().Charges[0].EndS) }

func collected(n madeup.Night) func() []analyze.Sample {
	return func() []analyze.Sample {
		rows, _ := n.Collect()
		return rows
	}
}

// warnings are the findings of a document that are more than notes.
func warnings(d analyze.Document) []string {
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

// coarseOutboard is the outboard's night on a meter with steps of a hundredth, which
// scatters by much less.
func coarseOutboard() madeup.Night {
	n := madeup.Named("outboard-plateau")
	n.Meter.NoiseVolts, n.Meter.NoiseAmps, n.Meter.StepVolts, n.Meter.StepAmps = 0.0005, 0.0005, 0.01, 0.01
	return n
}
