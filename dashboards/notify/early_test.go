package notify

import (
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

// An alarm of the first minute of a current, before that is a charge, is told of once, repeated as one, and cleared once:
// with nothing before it, while another charge rests, and after one; over a crash, too.
func TestWhatIsFoundBeforeItsChargeIsOneIsToldOnce(t *testing.T) {
	for _, before := range []string{"", "bench-0", "bench-0 and after"} {
		synctest.Test(t, func(t *testing.T) {
			b, dir := &box{}, t.TempDir()
			c := open(t, dir, Rules{Repeat: time.Hour}, b)
			in := func(e Event, episode string) Event {
				e.Episode = episode
				return e
			}
			hot, over, cool := raised("over-temperature", analyze.Alarm), cleared(""), cleared("over-temperature")
			over.Kind = Ended
			begun := over
			begun.Kind = Began
			tell(c, 1, in(hot, before))
			time.Sleep(time.Minute)
			crash(c)
			synctest.Wait()
			c = open(t, dir, Rules{Repeat: time.Hour}, b)
			tell(c, 2, in(over, before), in(begun, "bench-1"), in(hot, "bench-1"))
			time.Sleep(70 * time.Minute)
			tell(c, 3, in(cool, "bench-1"))
			time.Sleep(2 * time.Minute)
			tell(c, 4, in(over, "bench-1"), in(begun, "bench-2"), in(hot, "bench-2"))
			time.Sleep(time.Minute)
			assert.Equal(t, []string{
				"Alarm: bench (mower), over temperature", "Alarm still holds: bench (mower), over temperature",
				"Cleared: bench (mower), over temperature", "Alarm: bench (mower), over temperature",
			}, b.titles(), "before: %q; of the next charge it is told anew", before)
		})
	}
}

// What a new charge does not go on with is over as it begins, however often that is said.
func TestANewChargeEndsWhatWasFoundBefore(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{Repeat: time.Hour}, b)
		hot, begun := raised("over-temperature", analyze.Alarm), cleared("")
		begun.Kind, begun.Episode = Began, "bench-2"
		tell(c, 1, hot, raised("stalled", analyze.Warning))
		time.Sleep(time.Minute)
		tell(c, 2, begun)
		time.Sleep(30 * time.Second)
		tell(c, 3, cleared("over-temperature"))
		time.Sleep(40 * time.Second)
		assert.Equal(t, []string{"Alarm: bench (mower), over temperature, and 1 more", "Cleared: bench (mower), over temperature"}, b.titles(), "a minute after it began")
		time.Sleep(3 * time.Hour)
		assert.Len(t, b.all(), 2)
	})
}
