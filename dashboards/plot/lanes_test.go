package plot

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
)

// No name covers another or a leader from above, wherever they stand.
func TestNamesKeepOutOfEachOthersWay(t *testing.T) {
	type placed struct {
		x    vg.Length
		name span
		lane int
	}
	margins := span{58, 778}
	placedInAll := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 5))
		names := make([]name, 1+r.IntN(25))
		for i := range names {
			names[i].x = margins.from + vg.Length(r.Float64())*(margins.to-margins.from)
			names[i].rank = i / 8
		}
		l := newLanes(margins, names)
		var list []placed
		for i, n := range names {
			x, width := n.x, vg.Length(20+90*r.Float64())
			if left, lane, ok := l.put(i, 0, width, x-width/2, x-2, x-width+2); ok {
				list = append(list, placed{x, span{left, left + width}, lane})
			}
		}
		placedInAll += len(list)
		for i, a := range list {
			require.True(t, margins.from <= a.name.from && a.name.to <= margins.to)
			require.True(t, a.name.from-3 < a.x && a.x < a.name.to+3, "a name stands by its leader")
			for k, b := range list {
				if i == k {
					continue
				}
				require.False(t, a.lane == b.lane && a.name.meets(b.name), "seed %d: name over name", seed)
				require.False(t, b.lane > a.lane && a.name.from < b.x && b.x < a.name.to, "seed %d: leader through a name", seed)
			}
		}
	}
	assert.Greater(t, placedInAll, 300*5)
}
