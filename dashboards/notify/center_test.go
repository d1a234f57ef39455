package notify

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A reading that dances on its limit, once a second for eight hours, is told of
// once, and once that it is over.
func TestOscillationIsToldOnce(t *testing.T) {
	for _, period := range []time.Duration{time.Second, 3 * time.Minute, 20 * time.Minute} {
		synctest.Test(t, func(t *testing.T) {
			b := &box{}
			c := open(t, t.TempDir(), Rules{}, b)
			seq := uint64(0)
			for began := time.Now(); time.Since(began) < 8*time.Hour; {
				seq += 2
				tell(c, seq, raised(analyze.CodeOverVoltage, analyze.Alarm))
				time.Sleep(period / 2)
				tell(c, seq+1, cleared(analyze.CodeOverVoltage))
				time.Sleep(period / 2)
			}
			time.Sleep(2 * time.Minute)
			require.Len(t, b.all(), 2, "every %s: %v", period, b.titles())
			assert.Equal(t, "Alarm: bench (mower), over voltage", b.all()[0].Title)
			assert.Equal(t, "evidence of over-voltage", b.all()[0].Message)
			assert.Equal(t, "Cleared: bench (mower), over voltage", b.all()[1].Title)
			assert.Regexp(t, `^over; it was: evidence of over-voltage$`, b.all()[1].Message)
		})
	}
}

// After two hours of calm it is another rise.
func TestWhatComesBackLaterIsToldAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		for seq := uint64(1); seq < 6; seq += 2 {
			tell(c, seq, raised("stalled", analyze.Warning))
			time.Sleep(10 * time.Minute)
			tell(c, seq+1, cleared("stalled"))
			time.Sleep(2 * time.Hour)
		}
		require.Len(t, b.all(), 6)
		ids := map[string]bool{}
		for _, n := range b.all() {
			ids[n.ID] = true
		}
		assert.Len(t, ids, 6, "each has an ID of its own")
	})
}

// Of what has cleared the charge is told as it stood then, over a crash too, and of an alarm that its end has cleared
// as it ended; of what comes back meanwhile nothing is kept.
func TestWhatClearsBringsItsCharge(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		c := open(t, dir, Rules{}, b)
		in := func(e Event, ah analyze.Number) Event {
			e.Summary = &analyze.Session{ID: "bench-1", ChargeInAh: ah}
			return e
		}
		tell(c, 1, in(raised("stalled", analyze.Warning), 1), in(raised("over-temperature", analyze.Alarm), 1))
		time.Sleep(time.Minute)
		tell(c, 2, in(cleared("stalled"), 2))
		time.Sleep(settle / 2)
		tell(c, 3, in(raised("other", analyze.Warning), 3)) // and with it all is put down
		time.Sleep(settle / 4)
		crash(c)
		synctest.Wait()
		c = open(t, dir, Rules{}, b)
		time.Sleep(time.Minute)
		over := in(cleared(""), 4)
		over.Kind = Ended
		tell(c, 4, over)
		time.Sleep(2 * time.Minute)
		require.Len(t, b.all(), 4, b.titles())
		for k, ah := range []analyze.Number{1, 3, 2, 4} {
			require.Len(t, b.all()[k].Sessions, 1, b.titles()[k])
			assert.Equal(t, ah, b.all()[k].Sessions[0].ChargeInAh, b.titles()[k])
		}
		crash(c)
		synctest.Wait()
		for _, k := range c.ledger.Conditions {
			assert.Nil(t, k.Event.Summary, "of %s nothing is left to be told", k.Event.Code)
		}
	})
}

// What held for days is not forgotten as soon as it is over: back within the hour it is
// still taken for a dance.
func TestWhatHeldForDaysIsRemembered(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(2 * forget)
		tell(c, 2, cleared("stalled"))
		time.Sleep(10 * time.Minute)
		tell(c, 3, raised("stalled", analyze.Warning))
		time.Sleep(10 * time.Minute)
		assert.Equal(t, []string{"Warning: bench (mower), stalled", "Cleared: bench (mower), stalled"}, b.titles())
	})
}

// That a charge is complete is told once, however often it is found out again.
func TestACompleteChargeIsToldOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		done := raised("complete", analyze.Note)
		done.Kind = Complete
		for seq := range uint64(3) {
			tell(c, seq+1, done)
			time.Sleep(2 * time.Hour)
		}
		assert.Len(t, b.all(), 1, b.titles())
	})
}

// An alarm that comes back is told sooner than a warning, and that the one before was
// acknowledged does not silence it.
func TestAnAlarmThatComesBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		c := open(t, dir, Rules{Repeat: 30 * time.Minute}, b)
		tell(c, 1, raised("over-temperature", analyze.Alarm), raised("stalled", analyze.Warning))
		time.Sleep(time.Minute)
		_, err := Acknowledge(dir, "")
		require.NoError(t, err)
		time.Sleep(time.Minute)
		tell(c, 2, cleared("over-temperature"), cleared("stalled"))
		time.Sleep(5 * time.Minute)
		tell(c, 3, raised("over-temperature", analyze.Alarm))
		time.Sleep(30 * time.Minute)
		assert.Equal(t, []string{
			"Alarm: bench (mower), over temperature, and 1 more", "Cleared: bench (mower), over temperature, and 1 more",
			"Alarm still holds: bench (mower), over temperature",
		}, b.titles(), "at once it is taken for a dance, and told with the next repetition")

		tell(c, 4, cleared("over-temperature"))
		time.Sleep(20 * time.Minute)
		tell(c, 5, raised("over-temperature", analyze.Alarm), raised("stalled", analyze.Warning))
		time.Sleep(time.Minute)
		require.Len(t, b.all(), 5)
		assert.Equal(t, "Alarm: bench (mower), over temperature", b.titles()[4])
	})
}

func TestWhatComesTogetherIsOneMessage(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(time.Second)
		hot := raised("over-temperature", analyze.Alarm)
		hot.Channel, hot.Summary = "shed", &analyze.Session{ID: "shed-1"}
		c.Tell(Batch{Channel: "shed", Seq: 1, Events: []Event{hot}})
		time.Sleep(time.Minute)
		require.Len(t, b.all(), 1)
		n := b.all()[0]
		assert.Equal(t, "Alarm: shed (mower), over temperature, and 1 more", n.Title)
		assert.Equal(t, analyze.Alarm, n.Severity)
		assert.Equal(t, 2, strings.Count(n.Message, "evidence of"))
		require.Len(t, n.Sessions, 1)
		assert.Equal(t, "shed-1", n.Sessions[0].ID)
	})
}

func TestAlarmRepeatsUntilAcknowledged(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		c := open(t, dir, Rules{Repeat: 30 * time.Minute}, b)
		tell(c, 1, raised("over-temperature", analyze.Alarm), raised("stalled", analyze.Warning))
		time.Sleep(65 * time.Minute)
		require.Len(t, b.all(), 3)
		assert.Equal(t, "Alarm still holds: bench (mower), over temperature", b.all()[2].Title)

		held, err := Acknowledge(dir, "shed")
		require.NoError(t, err)
		assert.Empty(t, held)
		held, err = Acknowledge(dir, "")
		require.NoError(t, err)
		require.Len(t, held, 1, "a warning needs none")
		assert.Equal(t, "over-temperature", held[0].Code)
		time.Sleep(3 * time.Hour)
		assert.Len(t, b.all(), 3)
		held, err = Acknowledge(dir, "bench")
		require.NoError(t, err)
		assert.Empty(t, held, "it is acknowledged")
		left, err := os.ReadDir(filepath.Join(dir, ackFolder))
		require.NoError(t, err)
		assert.Empty(t, left)

		tell(c, 2, cleared("over-temperature"))
		time.Sleep(2 * time.Minute)
		assert.Len(t, b.all(), 4, "that it clears is told all the same")
	})
}

// What dances on its limit was seen to once.
func TestADanceNeedsNoSecondAcknowledgement(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		c := open(t, dir, Rules{Repeat: 30 * time.Minute}, b)
		tell(c, 1, raised("over-temperature", analyze.Alarm))
		time.Sleep(time.Minute)
		_, err := Acknowledge(dir, "")
		require.NoError(t, err)
		time.Sleep(2 * ackEvery)
		tell(c, 2, cleared("over-temperature"))
		time.Sleep(settle / 2)
		tell(c, 3, raised("over-temperature", analyze.Alarm))
		time.Sleep(3 * time.Hour)
		assert.Len(t, b.all(), 1, b.titles())
	})
}

// The end of a charge ends what was said of it; only of alarms is that told.
func TestEndOfAChargeEndsItsFindings(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{Repeat: 10 * time.Minute}, b)
		tell(c, 1, raised("running-long", analyze.Warning), raised("over-temperature", analyze.Alarm), raised("stalled", analyze.Warning))
		time.Sleep(time.Minute)
		over := cleared("")
		over.Kind = Ended
		tell(c, 2, cleared("stalled"), over)
		time.Sleep(time.Hour)
		require.Len(t, b.all(), 2)
		assert.Equal(t, "Alarm: bench (mower), over temperature, and 2 more", b.all()[0].Title)
		assert.Equal(t, "Cleared: bench (mower), over temperature, and 1 more", b.all()[1].Title, "the alarm in front")
		assert.Equal(t, analyze.Note, b.all()[1].Severity, "nobody need hurry")
		told := map[string]Kind{}
		for _, e := range b.all()[1].Events {
			told[e.Code] = e.Kind
		}
		assert.Equal(t, map[string]Kind{"over-temperature": Cleared, "stalled": Cleared}, told, "what had cleared just before is told as well")
	})
}

func TestAWorseSeverityIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		tell(c, 1, raised("over-voltage", analyze.Warning))
		time.Sleep(time.Minute)
		tell(c, 2, raised("over-voltage", analyze.Alarm))
		time.Sleep(time.Minute)
		tell(c, 3, raised("over-voltage", analyze.Warning))
		time.Sleep(time.Minute)
		assert.Equal(t, []string{"Warning: bench (mower), over voltage", "Alarm: bench (mower), over voltage"}, b.titles())
	})
}

// A replay of a journal of long ago tells nothing.
func TestWhatIsOldIsNotTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		e := raised("stalled", analyze.Warning)
		e.At = time.Now().Add(-25 * time.Hour)
		c.Tell(Batch{Channel: "bench", Seq: 1, Replay: true, Events: []Event{e}})
		c.Tell(Batch{Channel: "bench", Seq: 2, Replay: true, Events: []Event{cleared("stalled")}})
		time.Sleep(time.Hour)
		assert.Empty(t, b.all())
	})
}
