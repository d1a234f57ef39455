package notify

import (
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The clock is set while a message waits for a receiver that is away, as where the network
// comes back, and with it the time. It is neither late for that nor given up, and that what
// it was about is over is told a minute after that.
func TestAClockThatIsSetLosesNoMessage(t *testing.T) {
	for _, step := range []time.Duration{-5 * time.Minute, -3 * time.Hour, -56 * 365 * 24 * time.Hour, 3 * time.Hour, 56 * 365 * 24 * time.Hour} {
		synctest.Test(t, func(t *testing.T) {
			var set atomic.Int64
			began, b := time.Now(), &box{}
			b.set(away, false)
			c := Open(Options{
				Dir: t.TempDir(), Targets: []Target{b},
				Now:    func() time.Time { return time.Now().Round(0).Add(time.Duration(set.Load())) },
				Passed: func() time.Duration { return time.Since(began) },
			})
			defer c.Close()
			tell(c, 1, raised("over-temperature", analyze.Alarm))
			time.Sleep(5 * time.Minute)
			require.Len(t, c.Status().Unsent, 1)
			set.Add(int64(step))
			time.Sleep(10 * time.Second)
			b.set(nil, false)
			time.Sleep(time.Minute)
			require.Len(t, b.all(), 1, step)
			assert.Zero(t, c.Status().Targets[0].Counts[givenUp])

			tell(c, 2, cleared("over-temperature"))
			time.Sleep(30 * time.Second)
			set.Add(int64(step))
			time.Sleep(20 * time.Second)
			assert.Len(t, b.all(), 1, "not before it has been over for a minute: %v", step)
			time.Sleep(time.Minute)
			require.Len(t, b.all(), 2, step)
			assert.Equal(t, "Cleared: bench (mower), over temperature", b.all()[1].Title)
		})
	}
}
