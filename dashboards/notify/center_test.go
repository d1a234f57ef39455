package notify

import (
	"fmt"
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
			assert.Regexp(t, `^over since 0\d:\d\d; it was: evidence of over-voltage$`, b.all()[1].Message)
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

func TestRestartsRepeatNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		night := []Batch{
			{Channel: "bench", Seq: 10, Events: []Event{raised("stalled", analyze.Warning)}},
			{Channel: "bench", Seq: 20, Events: []Event{raised("over-temperature", analyze.Alarm)}},
			{Channel: "bench", Seq: 30, Events: []Event{{Kind: Complete, Channel: "bench", Episode: "bench-1", Code: "complete", At: time.Now()}}},
		}
		for k := range 51 {
			c := open(t, dir, Rules{}, b)
			assert.Equal(t, k > 0, c.Crashed())
			for _, batch := range night {
				batch.Replay = k > 0
				c.Tell(batch)
				// A replay from elsewhere may notice the same a few records later.
				batch.Seq += uint64(k)
				c.Tell(batch)
			}
			time.Sleep(10 * time.Second)
			crash(c)
			synctest.Wait()
		}
		require.Len(t, b.all(), 1, b.titles())
		assert.Equal(t, "Alarm: bench (mower), over temperature, and 2 more", b.all()[0].Title)
		assert.Len(t, b.all()[0].Events, 3)
	})
}

// A program that crashes again and again is told of once an hour at most; a crash in the
// morning is not that of the evening.
func TestEachCrashIsToldUnlessOneWasJustNow(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		for _, wait := range []time.Duration{time.Minute, 20 * time.Minute, 6 * time.Hour, time.Minute} {
			c := open(t, dir, Rules{}, b)
			e := raised("recovered", analyze.Warning)
			e.Kind = Recovered
			c.Tell(Batch{Channel: "bench", Events: []Event{e}})
			time.Sleep(wait)
			crash(c)
			synctest.Wait()
		}
		require.Len(t, b.all(), 2, b.titles())
		assert.Equal(t, "Recording again after a crash: bench (mower)", b.all()[0].Title)
		assert.NotEqual(t, b.all()[0].ID, b.all()[1].ID)
	})
}

func TestACleanStopIsNoCrash(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir := t.TempDir()
		open(t, dir, Rules{}, &box{}).Close()
		assert.False(t, open(t, dir, Rules{}, &box{}).Crashed())
	})
}

// An outage of half an hour, refusing or hanging, with the program killed and
// started again in it: everything arrives once within a minute of its end.
func TestOutageIsOutlasted(t *testing.T) {
	for _, hang := range []bool{false, true} {
		synctest.Test(t, func(t *testing.T) {
			b, other, dir := &box{}, &box{}, t.TempDir()
			b.set(away, hang)
			c := open(t, dir, Rules{}, b, other)
			for k := range 5 {
				tell(c, uint64(k+1), raised(fmt.Sprint("code-", k), analyze.Warning))
				time.Sleep(3 * time.Minute)
			}
			assert.Len(t, other.all(), 5, "one that is away holds up nobody else")
			require.Len(t, c.Status().Unsent, 5)
			assert.NotEmpty(t, c.Status().Unsent[0].Trouble)
			assert.Equal(t, []string{"bench"}, c.Status().Unsent[0].Channels)
			crash(c)
			synctest.Wait()
			c = open(t, dir, Rules{}, b, other)
			time.Sleep(15 * time.Minute)
			b.set(nil, false)
			back := time.Now()
			time.Sleep(2 * time.Minute)
			require.Len(t, b.all(), 5)
			for k, n := range b.all() {
				assert.Equal(t, other.all()[k].ID, n.ID)
				assert.LessOrEqual(t, b.when()[k].Sub(back), time.Minute)
			}
			assert.Len(t, other.all(), 5)
			assert.Empty(t, c.Status().Unsent)
			assert.EqualValues(t, 5, c.Status().Targets[0].Counts[delivered])
			assert.NotZero(t, c.Status().Targets[0].Counts[failed])
		})
	}
}

func TestGivenUpAfterADay(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		b.set(away, false)
		c := open(t, t.TempDir(), Rules{}, b)
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(23 * time.Hour)
		require.Len(t, c.Status().Unsent, 1)
		time.Sleep(2 * time.Hour)
		assert.Empty(t, c.Status().Unsent)
		assert.EqualValues(t, 1, c.Status().Targets[0].Counts[givenUp])
	})
}

// One message that a receiver does not want holds up no other.
func TestRefusedMessageLetsOthersPass(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		b.set(func(try int) error {
			if try == 1 {
				return fmt.Errorf("%w: it answers 413", errRefused)
			}
			return nil
		}, false)
		c := open(t, t.TempDir(), Rules{}, b)
		tell(c, 1, raised("first", analyze.Warning))
		time.Sleep(group)
		tell(c, 2, raised("second", analyze.Warning))
		time.Sleep(10 * time.Second)
		assert.Len(t, b.all(), 2)
	})
}

func TestTwelveAnHourThenHeldBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		for k, e := range many(30) {
			tell(c, uint64(k+1), e)
			time.Sleep(10 * time.Second)
		}
		require.Len(t, b.all(), mostAnHour-forAlarms)
		tell(c, 31, raised("over-temperature", analyze.Alarm))
		time.Sleep(10 * time.Second)
		require.Len(t, b.all(), mostAnHour-forAlarms+1, "an alarm does not wait")
		assert.Equal(t, "21 held back: Alarm: bench (mower), over temperature, and others", b.all()[10].Title)
		assert.Contains(t, b.all()[10].Message, "and 1 more")
		tell(c, 32, raised("one", analyze.Warning))
		tell(c, 33, raised("two", analyze.Warning))
		time.Sleep(time.Hour)
		require.Len(t, b.all(), 12)
		assert.Equal(t, "2 held back: Warning: bench (mower), one, and others", b.all()[11].Title)
		for k := range b.when() {
			in := 0
			for _, at := range b.when()[k:] {
				if at.Sub(b.when()[k]) < time.Hour {
					in++
				}
			}
			assert.LessOrEqual(t, in, mostAnHour)
		}
		assert.EqualValues(t, 23, c.Status().Targets[0].Counts[heldBack])
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

// The fake time begins at midnight UTC, long before this program.
func TestQuietHoursKeepAllButAlarms(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := Open(Options{Dir: t.TempDir(), Targets: []Target{b}, Rules: Rules{Quiet: Quiet{From: 22 * time.Hour, To: 7 * time.Hour}}, Now: func() time.Time { return time.Now().UTC().AddDate(26, 0, 0) }})
		defer c.Close()
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(3 * time.Hour)
		assert.Empty(t, b.titles())
		tell(c, 2, raised("over-temperature", analyze.Alarm))
		time.Sleep(time.Minute)
		assert.Equal(t, []string{"Alarm: bench (mower), over temperature, and 1 more"}, b.titles())
		tell(c, 3, cleared("over-temperature"))
		time.Sleep(3*time.Hour + 58*time.Minute)
		assert.Len(t, b.all(), 1)
		time.Sleep(2 * time.Minute)
		assert.Len(t, b.all(), 2, "at seven the rest is told")
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

// A clean stop gives what has just happened a moment to get out, and a dead server
// no more than that.
func TestStopDeliversOrGoes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dead, dir := &box{}, &box{}, t.TempDir()
		dead.set(nil, true)
		c := open(t, dir, Rules{}, b, dead)
		tell(c, 1, raised("stalled", analyze.Warning))
		began := time.Now()
		c.Close()
		assert.LessOrEqual(t, time.Since(began), 2*time.Second)
		assert.Len(t, b.all(), 1)
		dead.set(nil, false)
		open(t, dir, Rules{}, b, dead)
		time.Sleep(time.Minute)
		assert.Len(t, b.all(), 1)
		assert.Len(t, dead.all(), 1)
	})
}

// Damage of the record is put aside; a folder that takes none keeps nobody from
// being told.
func TestTroubleWithTheDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		file := filepath.Join(dir, stateFile)
		require.NoError(t, os.WriteFile(file, []byte(stateMark+"00\n{}"), 0o600))
		c := open(t, dir, Rules{}, b)
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(time.Minute)
		assert.Len(t, b.all(), 1)
		assert.FileExists(t, file+".damaged")

		none := filepath.Join(file, "below a file")
		c = open(t, none, Rules{}, b)
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(time.Minute)
		assert.Len(t, b.all(), 2)
	})
}

// However much happens while nobody takes it, handing over never waits.
func TestTellNeverWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := open(t, t.TempDir(), Rules{}, b)
		crash(c)
		synctest.Wait()
		for k := range mostEvents + 10 {
			tell(c, uint64(k+1), raised("stalled", analyze.Warning))
		}
		assert.EqualValues(t, 10, c.Status().Dropped)
	})
}

func TestQuietOverNight(t *testing.T) {
	q, err := ParseQuiet("22:00-07:00")
	require.NoError(t, err)
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	for text, want := range map[string]string{
		"2026-03-28T21:59:00": "2026-03-28T21:59:00",
		"2026-03-28T22:00:00": "2026-03-29T07:00:00", // the clocks go forward in this night
		"2026-03-29T01:59:00": "2026-03-29T07:00:00",
		"2026-03-29T07:00:00": "2026-03-29T07:00:00",
		"1970-01-01T23:00:00": "1970-01-01T23:00:00", // the clock was never set
	} {
		now, err := time.ParseInLocation("2006-01-02T15:04:05", text, zone)
		require.NoError(t, err)
		assert.Equal(t, want, q.end(now).Format("2006-01-02T15:04:05"))
	}
	for _, text := range []string{"", "22-7", "22:00", "25:00-07:00", "07:00-07:00"} {
		_, err := ParseQuiet(text)
		assert.Error(t, err, text)
	}
	noon, err := ParseQuiet("12:30 - 14:00")
	require.NoError(t, err)
	at := time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)
	assert.Equal(t, time.Hour, noon.end(at).Sub(at))
}
