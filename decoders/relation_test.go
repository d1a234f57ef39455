package decoders

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A meter on a battery that waits for its charge shows the noise of its zero. A
// sign read out of that would turn the whole night around.
func TestNoiseAboutZeroTellsNoSign(t *testing.T) {
	for _, rows := range []int{8, 13, 40, 200} {
		wrong := 0
		const seeds = 200
		for seed := range uint64(seeds) {
			chance := rand.New(rand.NewPCG(seed, 3))
			lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
			for k := range rows {
				lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.3f", 10*k, 12.6+0.001*chance.NormFloat64(), 0.002*chance.NormFloat64()))
			}
			fitted, err := Fit(lines, Options{Live: true})
			require.NoError(t, err)
			if strings.Contains(fitted.Setting, "negate") {
				wrong++
			}
		}
		assert.LessOrEqual(t, wrong, seeds/50, "of %d logs of %d rows", seeds, rows)
	}
}
