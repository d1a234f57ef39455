package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
)

// The cells of a stated chemistry are those of a usual pack, or unknown, from the first hour on:
// no 12 V battery has five because it is only at 12.5 V yet.
func TestCellsOfAStatedChemistryAreNeverMiscounted(t *testing.T) {
	for seed := range uint64(60) {
		n := madeup.Random(seed)
		if n.Battery.Chemistry.Nickel() {
			continue // whose voltage on charge depends on the rate
		}
		rows, truth := n.Collect()
		c := truth.Charges[0]
		for _, share := range []float64{0.1, 0.3, 0.6, 2} {
			until := float64(c.StartS) + share*float64(c.EndS-c.StartS)
			m := analyze.New(analyze.Options{Chemistry: n.Battery.Chemistry})
			for _, r := range rows {
				if r.At <= until {
					m.Step(r)
				}
			}
			for _, s := range m.Document().Sessions {
				assert.Contains(t, []analyze.Count{0, analyze.Count(n.Battery.Cells)}, s.Cells, "%s, %s: %.1f of it", n.Name, n.Battery.Chemistry, share)
			}
		}
	}
	for held, cells := range map[float64]analyze.Count{6.6: 3, 8.1: 3, 13.1: 6, 16.2: 6, 30.9: 12, 9.7: 4} {
		m := analyze.New(analyze.Options{Chemistry: analyze.LeadAGM})
		for second := range 7200 {
			at := float64(second)
			v, i := min(held*0.9+held*0.1*at/3600, held), min(2, 2*math.Exp((3600-at)/900))
			m.Step(analyze.Sample{At: at, Volts: v + 0.001*float64(second%3), Amps: i + 0.001*float64(second%2), Celsius: analyze.Unknown(), Counter: analyze.Unknown()})
		}
		assert.Equal(t, cells, m.Document().Sessions[0].Cells, "held at %g V", held)
	}
}
