package decoders

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Some bytes that a bad contact changed, in a line of sixty, tell nothing of how the
// others are to be read. Bare values by turns have nothing but their place, so there it does.
func TestDamagedLinesChangeNoFit(t *testing.T) {
	for _, c := range layouts() {
		if c.kind == "turns" {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			lines := bytesOf(logOf(c.header, c.line))
			c.opt.Live = c.live
			want, err := Fit(head(lines), c.opt)
			require.NoError(t, err)
			f, err := Fit(damaged(head(lines), 1), c.opt)
			require.NoError(t, err)
			assert.Equal(t, want.Setting, f.Setting)
		})
	}
}

// damaged changes up to three bytes in one of sixty lines with a digit, but for the
// first twenty.
func damaged(lines [][]byte, seed uint64) [][]byte {
	chance := rand.New(rand.NewPCG(seed, 1))
	out := make([][]byte, len(lines))
	for k, l := range lines {
		out[k] = bytes.Clone(l)
		if k < 20 || len(l) == 0 || chance.IntN(60) > 0 {
			continue
		}
		for range 1 + chance.IntN(3) {
			out[k][chance.IntN(len(l))] = byte(1 + chance.IntN(255))
		}
	}
	return out
}
