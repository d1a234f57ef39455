package decoders

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Headings that a bad contact tore, and remarks that look like one, refuse nothing below them.
// Headings of another table do.
func TestRowsTellWhetherAHeadingIsOne(t *testing.T) {
	const stamped, elapsed = "timestamp,voltage_V,current_A", "time_s,voltage_V,current_A"
	for _, c := range []struct {
		header, below string
		row           string // below it
		refused       bool
		volts, amps   float64
	}{
		{header: stamped, below: "# The mains failed for twelve minutes; the recorder ran onamp,voltage_V,current_A"},
		{header: stamped, below: "timestamp,voltrrent_A"},
		{header: stamped, below: "timestamp,voltage_V,voltage_V,current_A"},
		{header: stamped, below: "# time,voltage_V, current_A and temperature_C follow, from the meter"},
		{header: stamped, below: "timestamp,vage_V,current_A"},
		{header: elapsed, below: "# the recorder was off for a whole minute, and then it was on, e_s,voltage_V,current_A"},
		{header: elapsed, below: "time_s,vage_V,current_A"},
		{header: elapsed, below: "time_s,volt\xe1ge,current_A"},
		{header: elapsed, below: "time_s,current_A,voltage_V", row: "20,3.5,12.7", volts: 12.7, amps: 3.5},
		{header: elapsed, below: "time_s,voltage_mV,current_mA", row: "20,12700,3500", volts: 12.7, amps: 3.5},
		{header: elapsed, below: "time_s,voltage_V,energy_Wh,current_A", row: "20,12.7,55,3.5", volts: 12.7, amps: 3.5},
		{header: elapsed, below: "cycle,voltage_V,current_A", row: "1,12.7,3.5", refused: true},
		{header: elapsed, below: "time_s,voltage_V,power_W", row: "20,12.7,44.1", refused: true},
		{header: elapsed, below: "cycle,voltage_V,capacity_Ah,energy_Wh", row: "1,12.7,3.5,43", refused: true},
	} {
		t.Run(c.below, func(t *testing.T) {
			line := func(k int) string {
				if c.header == stamped {
					return "2026-03-14T20:40:" + []string{"05", "06", "07", "08"}[k] + "Z,12.61,0.45"
				}
				return []string{"5", "6", "7", "8"}[k] + ",12.61,0.45"
			}
			var lines [][]byte
			for k := range 4 {
				lines = append(lines, []byte(line(k)))
			}
			f, err := Fit(append([][]byte{[]byte(c.header)}, lines...), Options{})
			require.NoError(t, err)
			s, err := NewStream(f.Layout)
			require.NoError(t, err)
			for _, l := range append([][]byte{[]byte(c.header)}, lines[:2]...) {
				_, _ = s.Line(l, math.NaN(), 0)
			}
			_, err = s.Line([]byte(c.below), math.NaN(), 0)
			require.Equal(t, ErrNotMine, err)
			row, volts, amps := c.row, c.volts, c.amps
			if row == "" {
				row, volts, amps = line(2), 12.61, 0.45
			}
			x, err := s.Line([]byte(row), math.NaN(), 0)
			if c.refused {
				require.Error(t, err)
				_, err = s.Line([]byte(row), math.NaN(), 0)
				require.Error(t, err, "and so it stays")
				return
			}
			require.NoError(t, err)
			assert.InDelta(t, volts, x.Volts, 1e-9)
			assert.InDelta(t, amps, x.Amps, 1e-9)
			assert.Nil(t, s.former, "settled")
		})
	}
}
