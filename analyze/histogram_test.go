package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestQuantilesCountTheTimeAndNotTheValues(t *testing.T) {
	var h histogram
	assert.True(t, h.empty())
	assert.False(t, Known(h.quantile(0.5)))
	h.add(3, 1)
	h.add(1, 10)
	h.add(2, 1)
	assert.False(t, h.empty())
	assert.Equal(t, 1.0, h.quantile(0))
	assert.Equal(t, 1.0, h.quantile(0.5), "ten of twelve seconds")
	assert.Equal(t, 2.0, h.quantile(0.9))
	assert.Equal(t, 3.0, h.quantile(1))
	assert.Equal(t, 3.0, h.quantile(1.1), "beyond all there is the largest")
}
