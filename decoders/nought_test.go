package decoders

import (
	"fmt"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A meter's zero that is three digits off, and flickers, is no current that lifts a battery which was used minutes
// ago; a current of as many digits that fades is one.
func TestAZeroOfSomeDigitsIsNoCurrent(t *testing.T) {
	for seed := range int64(20) {
		noise := rand.New(rand.NewSource(seed))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 500 {
			volts := 13.0 + 0.1*float64(k)/500 + 0.006*noise.NormFloat64()
			lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.2f", 2*k, volts, -0.03+0.007*noise.NormFloat64()))
		}
		f, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.False(t, f.Told, "seed %d: %s", seed, f.Evidence)
	}
	var fades column
	for k := range 500 {
		fades.x = append(fades.x, float64(6-k/90))
	}
	fades.measure(fades.x)
	assert.False(t, fades.isNought())
}
