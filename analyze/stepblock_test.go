package analyze_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// Rows in blocks of any length give what they give one by one.
func TestBlocksAreTheSameAsRows(t *testing.T) {
	for seed := range uint64(20) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, 7))
			rows := troubled(r)
			m := analyze.New(analyze.Options{})
			for rest := rows; len(rest) > 0; {
				n := min(1+r.IntN(700), len(rest))
				m.StepBlock(rest[:n])
				rest = rest[n:]
			}
			assert.Equal(t, asJSON(t, run(analyze.Options{}, rows)), asJSON(t, m.Document()))
		})
	}
}
