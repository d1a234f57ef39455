package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// smallFloat is a small battery whose charger steps down before the tail, to a float of so many amperes for six hours,
// and then lets go of it.
func smallFloat(wait, amps float64) []part {
	return []part{idle(wait, 12.3), ramp(4*anHour, 12.5, 14.8, 0.345, 0.345), {4 * anHour, always(14.8), line(0.1, 0.057, 4*anHour)}, steady(6*anHour, 13.51, amps), settle(anHour, 13.3, 12.7, 900)}
}

// A meter of a tenth of a milliampere shows a float of some milliamperes as what it is, whether its zero was seen or
// not: the battery does not rest as long as that holds it, and the charge was complete.
func TestAFineMeterShowsAFloatOfMilliamperes(t *testing.T) {
	for _, wait := range []float64{0, 600} {
		for _, amps := range []float64{0.006, 0.0143} {
			for _, o := range []analyze.Options{{}, {Chemistry: analyze.LeadFlooded, Cells: 6, Capacity: 2.3 * anHour}} {
				s := run(o, metered(10, 0.01, 0.0001, smallFloat(wait, amps)...)).Sessions[0]
				assert.Equal(t, analyze.EndFloat, s.EndedBy, "%g A after %g s", amps, wait)
				assert.InDelta(t, wait+14*anHour, float64(s.EndS), 20, "%g A after %g s", amps, wait)
				require.NotNil(t, s.Rest, "%g A after %g s", amps, wait)
				assert.InDelta(t, 12.7, float64(s.Rest.SettledV), 0.05, "%g A after %g s", amps, wait)
			}
		}
	}
}

// What such a meter may be off by is no float.
func TestAFineMetersZeroIsNoFloat(t *testing.T) {
	for _, wait := range []float64{0, 600} {
		for _, zero := range []float64{-0.001, 0.0004, 0.001, 0.002} {
			rows := metered(10, 0.01, 0.0001, idle(wait, 12.3), ramp(4*anHour, 12.5, 14.8, 0.345, 0.345), fade(3*anHour, 14.8, 0.345, 0.8*anHour), settle(6*anHour, 13.9, 12.7, 900))
			for k := range rows {
				rows[k].Amps = rounded(rows[k].Amps+zero, 0.0001)
			}
			s := run(analyze.Options{Chemistry: analyze.LeadFlooded, Cells: 6, Capacity: 2.3 * anHour}, rows).Sessions[0]
			assert.InDelta(t, wait+7*anHour, float64(s.EndS), 20, "%g A after %g s", zero, wait)
			assert.Equal(t, analyze.EndTailCurrent, s.EndedBy, "%g A after %g s", zero, wait)
		}
	}
}
