package madeup_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze/madeup"
)

func TestANightIsTheSameTwice(t *testing.T) {
	for _, n := range []madeup.Night{madeup.Nights()[5], madeup.Nights()[8], madeup.Random(4)} {
		t.Run(n.Name, func(t *testing.T) {
			first, _ := n.Collect()
			i := 0
			for s := range n.Samples() {
				want := first[i]
				if want.At != s.At || want.Volts != s.Volts || want.Amps != s.Amps || want.Wall != s.Wall {
					require.Fail(t, "rows differ", "row %d: %+v and then %+v", i, want, s)
				}
				i++
			}
			assert.Len(t, first, i)
		})
	}
}

func TestTheSeedMattersToTheMeterAlone(t *testing.T) {
	n := madeup.Nights()[0]
	rows, truth := n.Collect()
	n.Seed++
	other, same := n.Collect()
	require.Len(t, other, len(rows))
	differ := 0
	for i := range rows {
		if rows[i].Volts != other[i].Volts {
			differ++
		}
	}
	assert.Greater(t, differ, len(rows)/4)
	assert.Equal(t, truth.Charges[0].InAh, same.Charges[0].InAh)
}

// A listener that stops early stops the model, too.
func TestSamplesStopWhenAskedTo(t *testing.T) {
	count := 0
	for range madeup.Nights()[0].Samples() {
		if count++; count == 10 {
			break
		}
	}
	assert.Equal(t, 10, count)
}

// What the meter shows, summed by trapezoids, must be the true charge within
// what its noise, resolution and lost rows explain.
func TestRowsCarryTheTrueCharge(t *testing.T) {
	for _, n := range madeup.Nights() {
		t.Run(n.Name, func(t *testing.T) {
			rows, truth := n.Collect()
			var in float64
			for i := 1; i < len(rows); i++ {
				mean := (rows[i].Amps+rows[i-1].Amps)/2 - n.Meter.ZeroAmps
				in += mean * (rows[i].At - rows[i-1].At) / 3600
			}
			want := 0.
			for _, c := range truth.Charges {
				want += float64(c.InAh - c.OutAh)
			}
			hours := float64(truth.LastS) / 3600
			step := n.Charger.Amps * n.Meter.Every / 3600 // a row may miss half a step on, and off
			assert.InDelta(t, want, in, 0.002*math.Abs(want)+step+n.Meter.StepAmps*hours/10)
		})
	}
}
