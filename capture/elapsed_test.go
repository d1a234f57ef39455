package capture

import (
	"math/rand/v2"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
)

var evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)

func at(boot time.Duration, wall time.Time, flags Flags) Frame {
	return Frame{Boot: boot, Wall: wall, Flags: flags}
}

func TestElapsedIgnoresTheWallClockWithinABoot(t *testing.T) {
	var e Elapsed
	epoch := time.Unix(40, 0)
	assert.Zero(t, e.Next(at(time.Minute, epoch, 0), "a"))
	assert.Equal(t, time.Second, e.Next(at(61*time.Second, evening, 0), "a"), "1970 to now")
	assert.Equal(t, 2*time.Second, e.Next(at(62*time.Second, evening.Add(-5*time.Minute), 0), "a"))
	assert.Equal(t, 2*time.Second+8*time.Hour, e.Next(at(62*time.Second+8*time.Hour, evening, 0), "a"), "a suspend counts")
}

func TestElapsedBridgesBootsByTheWallClock(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to time.Time
		want     time.Duration
	}{
		{"ten minutes without power", evening, evening.Add(10 * time.Minute), 10 * time.Minute},
		{"the clock went back", evening, evening.Add(-time.Hour), 0},
		{"not set after the boot", evening, time.Unix(30, 0), 0},
		{"not set before the boot", time.Unix(30, 0), evening, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			var e Elapsed
			e.Next(at(9*time.Hour, c.from, 0), "a")
			assert.Equal(t, c.want, e.Next(at(20*time.Second, c.to, 0), "b"))
			next := e.Next(at(21*time.Second, c.to.Add(time.Hour), 0), "b")
			assert.Equal(t, c.want+time.Second, next, "from then on the boot clock counts again")
		})
	}
}

func TestElapsedSpreadsABurst(t *testing.T) {
	var e Elapsed
	boot, wall := time.Minute, evening
	next := func(pause time.Duration, flags Flags) time.Duration {
		boot, wall = boot+pause, wall.Add(pause)
		return e.Next(at(boot, wall, flags), "a")
	}
	for range 10 {
		next(time.Second, 0)
	}
	// A minute's freeze: it is remarked, and sixty lines arrive at once.
	assert.Equal(t, 9*time.Second, next(time.Minute, Marked))
	for i := range 60 {
		assert.Equal(t, time.Duration(10+i)*time.Second, next(0, Burst))
	}
	assert.Equal(t, 70*time.Second, next(time.Second, 0), "and the next line is on time again")
	// More lines than the time can have held never run ahead of the clock.
	for range 100 {
		assert.LessOrEqual(t, next(0, Burst), 70*time.Second)
	}
}

// TestElapsedSpreadsRecords: each record is two lines a second apart from the
// next; of a minute's backlog every line gets half a second.
func TestElapsedSpreadsRecords(t *testing.T) {
	var e Elapsed
	boot := time.Minute
	next := func(pause time.Duration, flags Flags) time.Duration {
		boot += pause
		return e.Next(at(boot, evening, flags), "a")
	}
	for range 10 {
		next(time.Second, 0)
		next(0, 0)
	}
	next(time.Minute, Burst)
	var last time.Duration
	for range 119 {
		last = next(0, Burst)
	}
	assert.Equal(t, 69*time.Second, last)
}

// TestElapsedUnderRandomClocks: whatever the wall clock does within a boot, the
// charge integrated over a night is that of an undisturbed clock.
func TestElapsedUnderRandomClocks(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 1000 {
		clock, steady := testhelp.NewClock(evening), testhelp.NewClock(evening)
		var e, want Elapsed
		last := time.Duration(-1)
		for range 300 {
			pause := 5 * time.Second
			switch rng.IntN(50) {
			case 0: // a step of a second to 57 years, either way
				step := time.Second << rng.IntN(31)
				if rng.IntN(2) == 0 {
					step = -step
				}
				clock.Step(step)
			case 1: // a suspend of a minute to eight hours
				pause += time.Minute + time.Duration(rng.Int64N(int64(8*time.Hour)))
			}
			clock.Advance(pause)
			steady.Advance(pause)
			got := e.Next(at(clock.Boot(), clock.Wall(), 0), "a")
			if truth := want.Next(at(steady.Boot(), steady.Wall(), 0), "a"); got != truth || got <= last {
				t.Fatalf("%+v after %v, want %+v", got, last, truth)
			}
			last = got
		}
	}
}

func TestSystemClock(t *testing.T) {
	var c SystemClock
	before := c.Boot()
	assert.Positive(t, before)
	assert.GreaterOrEqual(t, c.Boot(), before)
	assert.Positive(t, c.Awake())
	assert.LessOrEqual(t, c.Awake(), c.Boot())
	assert.WithinDuration(t, time.Now(), c.Wall(), time.Second)
	assert.NotEmpty(t, BootID())
	assert.Equal(t, BootID(), BootID())
	assert.True(t, ClockSet(evening))
	assert.False(t, ClockSet(time.Unix(40, 0)), "a host without a battery begins in 1970")
}
