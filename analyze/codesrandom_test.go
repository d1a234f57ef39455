package analyze_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Something goes wrong on random nights: what must come does, and at most two codes
// besides.

// spoilt is a random night on which something goes wrong; at is a moment in its charge.
type spoilt struct {
	madeup.Night
	from, to, at float64 // s, of the charge as it would have been
}

func spoil(seed uint64) spoilt {
	n := madeup.Random(seed)
	c := n.Truth().Charges[0]
	s := spoilt{Night: n, from: float64(c.StartS), to: float64(c.EndS)}
	s.at = s.from + (s.to-s.from)*(0.1+0.7*rand.New(rand.NewPCG(seed, 7)).Float64())
	return s
}

// charging makes the charge last until a moment, and lets the battery rest then.
func (s *spoilt) charging(until, rest float64) {
	s.Plan = []madeup.Phase{madeup.Sleep(s.from), madeup.ChargeFor(until - s.from), madeup.Sleep(rest)}
}

func TestSpoiltNightsBringWhatIsWrongAndLittleElse(t *testing.T) {
	kind := func(n *madeup.Night) analyze.Chemistry { return n.Battery.Chemistry }
	for _, c := range []struct {
		name  string
		spoil func(s *spoilt) (ok bool)
		want  []string // one of these; any, without
		only  []string // no warning but these; any, without
	}{
		{"the lead comes off", func(s *spoilt) bool {
			s.Faults = madeup.Faults{OpenLeadAt: s.at}
			s.charging(s.to, 600)
			return !kind(&s.Night).Nickel()
		}, []string{"open-circuit"}, []string{"open-circuit"}},
		{"the charger stops", func(s *spoilt) bool {
			s.charging(s.at, 3600)
			return true
		}, nil, []string{"current-dropped"}},
		{"a load beside the battery", func(s *spoilt) bool {
			s.Faults = madeup.Faults{LoadAmps: s.Charger.Amps / 4}
			s.charging(s.from+1.6*(s.to-s.from)+6*anHour, 3600)
			return !kind(&s.Night).Nickel() && s.Charger.Amps/4 > 0.06*s.Battery.CapacityAh
		}, []string{"no-taper", "over-capacity"}, nil},
		{"it heats itself", func(s *spoilt) bool {
			held := float64(s.Truth().Charges[0].HoldS)
			at := held + 0.4*(s.to-held)
			s.Faults = madeup.Faults{RunawayAt: at, RunawayEvery: 900}
			s.Charger.TailAmps, s.Charger.FloatVolts = 0, 0
			s.charging(at+3*anHour, 3600)
			return kind(&s.Night).Lead() && held > 0
		}, []string{"thermal-runaway"}, []string{"thermal-runaway", "over-temperature", "over-capacity", "no-taper"}},
		{"frost", func(s *spoilt) bool {
			s.Battery.Celsius, s.Meter.Celsius = -4, true
			return kind(&s.Night).Lithium()
		}, []string{"under-temperature"}, []string{"under-temperature"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			nights := 0
			for seed := range uint64(16) {
				s := spoil(seed)
				if !c.spoil(&s) {
					continue
				}
				nights++
				rows, _ := s.Collect()
				d := run(known(s.Night), rows)
				found := warnings(d)
				if c.want != nil {
					assert.True(t, slices.ContainsFunc(found, func(code string) bool { return slices.Contains(c.want, code) }), "%s: %s", s.Name, listed(d))
				}
				if c.only != nil {
					assert.Subset(t, c.only, found, "%s: %s", s.Name, listed(d))
				}
				assert.LessOrEqual(t, len(found), 3, "%s: %s", s.Name, listed(d))
			}
			require.GreaterOrEqual(t, nights, 3)
		})
	}
}
