package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// An hour of 4 A out of a battery that sinks from 12.6 to 12.2 V gives 49.6 Wh; with the charge before, and a row
// in which the current turns, what went in is another sum.
func TestEnergyOutIsCountedApart(t *testing.T) {
	rows := script(10, idle(300, 12.0), ramp(anHour, 12.8, 13.2, 5, 5), idle(60, 12.7), ramp(anHour, 12.6, 12.2, -4, -4), idle(600, 12.4))
	in, out := 0.0, 0.0
	for _, s := range run(analyze.Options{}, rows).Sessions {
		in, out = in+float64(s.EnergyInWh), out+float64(s.EnergyOutWh)
	}
	assert.InEpsilon(t, 5*13.0, in, 0.005)
	assert.InEpsilon(t, 4*12.4, out, 0.005)
}

// The same of a battery that is charged and discharged by turns, without a pause between.
func TestEnergyOutWhereTheCurrentTurns(t *testing.T) {
	var parts []part
	for range 6 {
		parts = append(parts, steady(600, 13, 3), steady(600, 12, -3))
	}
	out := 0.0
	for _, s := range run(analyze.Options{}, script(10, parts...)).Sessions {
		out += float64(s.EnergyOutWh)
	}
	assert.InEpsilon(t, 3*12.0, out, 0.01)
}
