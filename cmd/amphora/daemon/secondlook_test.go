package daemon

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"

	"github.com/stretchr/testify/require"
)

// Over a day without current the noise of a meter's zero takes every shape there is.
// None of them may turn the sign of the night that follows.
func TestNoNoiseTurnsTheSign(t *testing.T) {
	for name, amps := range map[string]func(*rand.Rand) float64{
		"noise":          func(r *rand.Rand) float64 { return 0.002 * r.NormFloat64() },
		"flicker":        func(r *rand.Rand) float64 { return 0.01 * float64(r.IntN(2)) },
		"zero that lies": func(r *rand.Rand) float64 { return -0.01 + 0.0005*r.NormFloat64() },
	} {
		t.Run(name, func(t *testing.T) {
			chance := rand.New(rand.NewPCG(1, 2))
			s := newStory("auto", analyze.Options{})
			for k := range 20_000 {
				at := time.Duration(k) * 4 * time.Second
				text := fmt.Appendf(nil, "%.3f;%.3f", 12.6+0.001*chance.NormFloat64()+0.1/float64(1+k), amps(chance))
				s.frame(uint64(k+1), &capture.Frame{Wall: evening.Add(at), Boot: at, Text: text}, "boot", func(u turn) {
					require.False(t, u.anew, "row %d: %s", k, u.chose)
				})
			}
			require.NotEmpty(t, s.chosen)
			require.False(t, s.second.told)
		})
	}
}

// A lead that comes loose lets the current fall and the voltage rise, as if the meter
// counted the other way. The beginning of the charge has told that it does not.
func TestALooseLeadTurnsNoSign(t *testing.T) {
	n := night(t, "open-lead")
	n.Meter.Every = 20
	s, k := newStory("auto", analyze.Options{}), uint64(0)
	for row := range n.Samples() {
		k++
		at := time.Duration(row.At * float64(time.Second))
		text := fmt.Appendf(nil, "t=%.0f V=%.3f A=%.3f", row.At, row.Volts, row.Amps)
		s.frame(k, &capture.Frame{Wall: evening.Add(at), Boot: at, Text: text}, "boot", func(u turn) {
			require.False(t, u.anew, "row %d: %s", k, u.chose)
		})
	}
	require.True(t, s.second.told)
}
