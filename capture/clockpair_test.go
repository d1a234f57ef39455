package capture

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
)

// heldUpClock lets time go by behind one look at the time of day, as where the program is
// stopped, or the host falls asleep, between two looks.
type heldUpClock struct {
	*bubbleClock
	looks int
}

func (c *heldUpClock) Wall() time.Time {
	now := c.bubbleClock.Wall()
	if c.looks--; c.looks == 0 {
		time.Sleep(time.Hour)
	}
	return now
}

// TestHeldUpBetweenTwoLooksIsNoStepOfTheClock: nobody has set the clock, and a line is
// stamped by both at one moment.
func TestHeldUpBetweenTwoLooksIsNoStepOfTheClock(t *testing.T) {
	for looks := range 8 {
		synctest.Test(t, func(t *testing.T) {
			clock := &heldUpClock{newBubbleClock(), looks + 1}
			l := &listener{clock: clock}
			var marks []string
			l.emit = func(f Frame) error {
				marks = append(marks, string(f.Text))
				return nil
			}
			for range 8 {
				l.now()
				assert.Equal(t, clock.start.Add(l.boot-time.Minute).UTC(), l.wall.UTC())
			}
			assert.Empty(t, marks)
		})
	}
}
