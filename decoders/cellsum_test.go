package decoders

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Cells in series, which add up where nothing else tells the voltage of the battery.
func TestVoltagesOfCellsAddUp(t *testing.T) {
	for _, c := range []struct{ header, want string }{
		{"time_s,cell1_mV,cell2_mV,cell3_mV,current_mA", "time=1:s voltage=2:mV voltage=3:mV voltage=4:mV current=5:mA"},
		{"time_s,Zelle 1 [mV],Zelle 2 [mV],Zelle 3 [mV],Strom [mA]", "time=1:s voltage=2:mV voltage=3:mV voltage=4:mV current=5:mA"},
		{"time_s,cell1_mV,cell2_mV,pack_mV,current_mA", "time=1:s voltage=4:mV current=5:mA"},
		{"time_s,cell1_mV,cell2_mV,cell3_mV,cell1_mA", "time=1:s voltage=2:mV current=5:mA"}, // each has a current of its own
	} {
		var lines []string
		for k := range 120 {
			amps := 1000 * min(1, k/30)
			volts := 3600 + k + amps/20
			third := volts - 7
			if strings.Contains(c.header, "pack") {
				third = 2*volts + 4
			}
			lines = append(lines, fmt.Sprintf("%d,%d,%d,%d,%d", 10*k, volts, volts+4, third, amps))
		}
		fitted, err := Fit(bytesOf(append([]string{c.header}, lines...)), Options{})
		require.NoError(t, err)
		assert.Equal(t, c.want, fieldsOf(fitted.Layout))
		stream, err := NewStream(fitted.Layout)
		require.NoError(t, err)
		sample, err := stream.Line([]byte(lines[0]), 0, 0)
		require.NoError(t, err)
		if strings.HasPrefix(c.want, "time=1:s voltage=2:mV voltage=3:mV voltage=4:mV") {
			assert.InDelta(t, 3.6+3.604+3.593, sample.Volts, 1e-9)
			assert.NotContains(t, fitted.Difference, "is the voltage")
		}
	}
}
