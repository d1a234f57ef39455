package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A log that begins with two hours of rest, more rows than a decoder is fitted on, of a meter
// that counts what goes in as negative.
func TestTheSignShowsBehindALongRest(t *testing.T) {
	var log strings.Builder
	log.WriteString("time_s,voltage_V,current_A\n")
	for k := range 14400 {
		volts, amps := 12.4, 0.0
		if k >= 7200 && k < 10800 {
			volts, amps = 12.9+1.5*float64(k-7200)/3600, -2.0
		} else if k >= 10800 {
			volts = 13 + 0.5*math.Exp(-float64(k-10800)/900)
		}
		fmt.Fprintf(&log, "%d,%.3f,%.3f\n", k, volts, amps)
	}
	d, _, err := readLog(stdinNamed, strings.NewReader(log.String()), logOptions{})
	require.NoError(t, err)
	assert.Contains(t, d.Log.Setting, "negate")
	require.Len(t, d.Sessions, 1)
	assert.InDelta(t, 2.0, float64(d.Sessions[0].ChargeInAh), 0.02)
	assert.Equal(t, 14400, d.Log.Rows, "none is lost, and none is judged twice")
}
