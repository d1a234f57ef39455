package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A log that begins with hours of rest, more rows than a decoder is fitted on, of a meter that
// counts what goes in as negative. Ten hours are several blocks.
func TestTheSignShowsBehindALongRest(t *testing.T) {
	for _, rested := range []int{7200, 36000} {
		t.Run(fmt.Sprint(rested), func(t *testing.T) {
			var log strings.Builder
			log.WriteString("time_s,voltage_V,current_A\n")
			for k := range rested + 7200 {
				volts, amps, on := 12.4, 0.0, float64(k-rested)
				if on >= 0 && on < 3600 {
					volts, amps = 12.9+1.5*on/3600, -2.0
				} else if on >= 3600 {
					volts = 13 + 0.5*math.Exp(-(on-3600)/900)
				}
				fmt.Fprintf(&log, "%d,%.3f,%.3f\n", k, volts, amps)
			}
			d, _, err := readLog(stdinNamed, strings.NewReader(log.String()), logOptions{})
			require.NoError(t, err)
			assert.Contains(t, d.Log.Setting, "negate")
			require.Len(t, d.Sessions, 1)
			assert.InDelta(t, 2.0, float64(d.Sessions[0].ChargeInAh), 0.02)
			assert.Equal(t, rested+7200, d.Log.Rows, "none is lost, and none is judged twice")
			assert.Empty(t, d.Log.Rejected, "no row is torn where a block ends")
		})
	}
}
