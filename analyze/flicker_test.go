package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// The meter's zero flickers by some digits while the leads hang in the air, and then the battery is put on.
func TestABatteryPutOnBesideAZeroThatFlickers(t *testing.T) {
	rows := metered(15, 0.001, 0.01, idle(120, 0), idle(900, 2.396), ramp(anHour, 2.5, 2.7, 1, 1))
	for k := range rows[:68] {
		rows[k].Amps = []float64{0.03, 0.02, 0.02, 0.02, 0.02, 0.02, 0.02, 0.03, 0.01, 0.01, 0.01, 0.01, 0.02}[min(k, 12)]
		rows[k].Volts += 0.001 * float64(k*k%3)
	}
	d := run(analyze.Options{Chemistry: analyze.NiCd, Cells: 2, Capacity: 2.4 * 3600}, rows)
	assert.Nil(t, findingIn(d, analyze.CodeOpenCircuit), listed(d))
}
