package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The header that a port gives first may be cut; its other names hold, also while
// the current is constant and physics tells nothing.
func TestAHeaderThatMayBeCutStillNames(t *testing.T) {
	for _, header := range []string{"current_A,voltage_V,time_s", "ent_A,voltage_V,time_s", ",voltage_V,time_s"} {
		lines := [][]byte{Remnant([]byte(header))}
		for k := range 20 {
			lines = append(lines, fmt.Appendf(nil, "3.500,%.3f,%d", 12.1+0.002*float64(k), 10*k))
		}
		f, err := Fit(lines, Options{Live: true})
		require.NoError(t, err)
		assert.Equal(t, "current=1:A voltage=2:V time=3:s", fieldsOf(f.Layout), header)
	}
	assert.Nil(t, Remnant([]byte("500,12.100,10")))
	assert.Nil(t, Remnant([]byte("ready>")))
}

// A resistance wanders as a temperature does, and its name says that it is none.
func TestAnotherNameIsNoTemperature(t *testing.T) {
	for _, name := range []string{"Ri[mOhm]", "ESR", "humidity"} {
		lines := bytesOf(logOf("s,"+name+",U,I", func(_ int, r row) string {
			return fmt.Sprintf("%.0f,%.2f,%.3f,%.3f", r.t, r.celsius, r.v, r.i)
		}))
		f, err := Fit(head(lines), Options{})
		require.NoError(t, err)
		assert.False(t, f.Layout.Has(Celsius), name)
	}
}
