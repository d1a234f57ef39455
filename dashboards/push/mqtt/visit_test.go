package mqtt

import (
	"context"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestGraceOutlastsTheEndForAWhile(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, end := context.WithCancel(t.Context())
		grace, cancel := outlast(ctx, lastWords)
		defer cancel()
		end()
		time.Sleep(lastWords - time.Nanosecond)
		require.NoError(t, grace.Err())
		time.Sleep(time.Nanosecond)
		synctest.Wait()
		assert.Error(t, grace.Err())
	})
}

// A broker that comes and goes for years is visited again and again while one and the same
// context lasts.
func TestVisitsLeaveNothingBehind(t *testing.T) {
	held := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := held()
	for range 20_000 {
		_, cancel := outlast(t.Context(), lastWords)
		cancel()
	}
	assert.Less(t, held(), before+1<<20)
}
