package notify

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

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
