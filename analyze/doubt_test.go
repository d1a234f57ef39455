package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRowsInDoubtComeBackInOrder(t *testing.T) {
	var d doubt
	assert.Empty(t, d.take())
	for k := range 3 {
		_, full := d.add(&mark{row: row{t: float64(k)}})
		assert.False(t, full)
	}
	for k, m := range d.take() {
		assert.Equal(t, float64(k), m.t)
	}
	assert.Empty(t, d.take(), "once")
}

func TestOldestRowIsHandedBackWhenDoubtGoesOn(t *testing.T) {
	var d doubt
	n := len(d.rows)
	for k := range n + 5 {
		oldest, full := d.add(&mark{row: row{t: float64(k)}})
		assert.Equal(t, k >= n, full)
		if full {
			assert.Equal(t, float64(k-n), oldest.t)
		}
	}
	rows := d.take()
	assert.Len(t, rows, n)
	assert.Equal(t, 5.0, rows[0].t)
	assert.Equal(t, float64(n+4), rows[n-1].t)
}
