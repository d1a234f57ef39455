package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Some rows over a long time tell how readings scatter, but not where most of them repeated: then
// the meter shows a coarser range than the one whose digits it was learned from.
func TestAMeterThatOftenRepeatsMayGoOnToRepeat(t *testing.T) {
	for every, hangs := range map[int]bool{1: true, 4: false} {
		var volts, amps meter
		for k := range 2 * learned {
			volts.push(0.0001 * float64(k*k%23))
			amps.push(0)
		}
		var f frozen
		at, v := 0.0, 12.0
		row := func() { at += 60; f.push(&row{t: at, v: v, i: 1, celsius: Unknown()}, &volts, &amps, true) }
		for range 40 * every {
			if row(); int(at/60)%every == 0 {
				v += 0.01
			}
		}
		for range 70 {
			row()
		}
		assert.Equal(t, hangs, f.on, "it moved with every %d. row", every)
	}
}
