package notify

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What nothing has become of yet is counted, so that its first rise can be seen.
func TestCountsBeginAtNought(t *testing.T) {
	c := open(t, t.TempDir(), Rules{}, &box{})
	assert.Equal(t, map[string]uint64{delivered: 0, failed: 0, givenUp: 0, heldBack: 0}, c.Status().Targets[0].Counts)
}

// A dozen of one name are a dozen accounts.
func TestNamesDiffer(t *testing.T) {
	var all []Target
	for range 12 {
		all = append(all, &box{})
	}
	names := map[string]bool{}
	for _, n := range Names(all) {
		names[n] = true
	}
	assert.Len(t, names, 12)
	assert.Contains(t, names, "box")
	assert.Contains(t, names, "box 12")
}
