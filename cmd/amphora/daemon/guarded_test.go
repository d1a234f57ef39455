package daemon

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A fault in the search for a layout ends nothing but the search.
func TestASearchThatBreaksDownIsOneWithoutAResult(t *testing.T) {
	var none []int
	found, err := guarded(func() (int, error) { return none[0], nil })
	assert.Zero(t, found)
	assert.ErrorContains(t, err, "broke down (runtime error: index out of range [0] with length 0); set decoder:")
	found, err = guarded(func() (int, error) { return 3, nil })
	assert.Equal(t, 3, found)
	assert.NoError(t, err)
	own := errors.New("own")
	_, err = guarded(func() (int, error) { return 0, own })
	assert.Equal(t, own, err)
}
