package daemon

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// The host sleeps for three hours, and the meter speaks again ten seconds after it woke;
// or the program ends, and begins in another boot, whose clock shows less.
func TestNobodyIsSilentWhileNobodyListens(t *testing.T) {
	var v vigil
	assert.Zero(t, v.waited(time.Hour, 20*time.Minute), "at the start")
	assert.Equal(t, 5*time.Second, v.waited(time.Hour+5*time.Second, 20*time.Minute))
	assert.Equal(t, 2*time.Second, v.waited(time.Hour+9*time.Second, time.Hour+7*time.Second), "heard since")
	assert.Zero(t, v.waited(4*time.Hour, time.Hour+7*time.Second), "on waking")
	assert.Equal(t, 10*time.Second, v.waited(4*time.Hour+10*time.Second, time.Hour+7*time.Second))

	v = vigil{}
	v.waited(time.Minute, time.Hour)
	assert.Equal(t, 9*time.Second, v.waited(time.Minute+9*time.Second, time.Hour), "heard in an earlier boot")
}
