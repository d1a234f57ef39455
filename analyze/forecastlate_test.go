package analyze_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A forecast that is worked out late, when somebody asks, is the one that would have been told at once, with all
// that it remembers of those before it; also where somebody has asked in between.
func TestForecastsAreTheSameWorkedOutLate(t *testing.T) {
	told := 0
	for _, m := range models {
		for seed := uint64(60); seed < 72; seed++ {
			n, r := m.make(seed, 0), rand.New(rand.NewPCG(seed, 10))
			withNights := n.label
			withNights.Earlier = m.before(seed)
			for k, o := range []analyze.Options{{}, n.label, withNights} {
				rows := n.rows[:1+r.IntN(len(n.rows))]
				late := analyze.New(o)
				half := r.IntN(len(rows))
				late.StepBlock(rows[:half])
				late.Document()
				late.StepBlock(rows[half:])
				d := run(o, rows)
				require.Equal(t, asJSON(t, d), asJSON(t, late.Document()), "%s, %d, label %d", m.name, seed, k)
				if d.Sessions[len(d.Sessions)-1].Forecast != nil {
					told++
				}
			}
		}
	}
	assert.Greater(t, told, 20)
}

// The same for a charge of more minutes than may wait, whose current changes every few hours, so that
// its forecast moves far again and again.
func TestALongChargeIsForetoldAlikeInBlocks(t *testing.T) {
	o := analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 6, Capacity: 300 * anHour}
	moved := 0
	for _, hours := range []int{19, 26, 30, 31, 32, 33} {
		parts := []part{idle(600, 12.1)}
		for k := range hours {
			volts, amps := 12.5+float64(k)*0.035, 7+2*float64(k/5%2)
			parts = append(parts, ramp(anHour, volts, volts+0.035, amps, amps))
		}
		rows := script(30, parts...)
		late := analyze.New(o)
		late.StepBlock(rows)
		d := run(o, rows)
		if f := d.Sessions[len(d.Sessions)-1].Forecast; f != nil && strings.Contains(f.Method, "moved from") {
			moved++
		}
		require.Equal(t, asJSON(t, d), asJSON(t, late.Document()), "%d h", hours)
	}
	assert.Positive(t, moved)
}
