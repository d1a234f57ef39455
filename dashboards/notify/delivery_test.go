package notify

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An outage of half an hour, refusing or hanging, with the program killed and
// started again in it: everything arrives once within a minute of its end, what waited behind
// the first together.
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
			require.Len(t, c.Status().Unsent, 2)
			assert.NotEmpty(t, c.Status().Unsent[0].Trouble)
			assert.Equal(t, []string{"bench"}, c.Status().Unsent[0].Channels)
			crash(c)
			synctest.Wait()
			c = open(t, dir, Rules{}, b, other)
			time.Sleep(15 * time.Minute)
			b.set(nil, false)
			back := time.Now()
			time.Sleep(2 * time.Minute)
			require.Len(t, b.all(), 2)
			assert.Equal(t, other.all()[0].ID, b.all()[0].ID)
			assert.Equal(t, "Warning: bench (mower), code 1, and 3 more", b.all()[1].Title)
			assert.Equal(t, eventIDs(other.all()), eventIDs(b.all()))
			for _, at := range b.when() {
				assert.LessOrEqual(t, at.Sub(back), time.Minute)
			}
			assert.Len(t, other.all(), 5)
			assert.Empty(t, c.Status().Unsent)
			assert.EqualValues(t, 2, c.Status().Targets[0].Counts[delivered])
			assert.NotZero(t, c.Status().Targets[0].Counts[failed])
		})
	}
}

// What waits is told in its order, each event once, with its charge, and with no more in a message than it spells
// out; an alarm is in front of its message. What may have arrived keeps its ID.
func TestWhatWaitsBehindAnotherJoins(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, there, dir := &box{}, &box{}, t.TempDir()
		b.set(away, false)
		c := open(t, dir, Rules{}, b, there)
		for k, e := range many(1 + mostLines + 3) {
			if k == 7 {
				e.Severity = analyze.Alarm
			}
			e.Summary = &analyze.Session{ID: fmt.Sprint("bench-", k/10), ChargeInAh: analyze.Number(k)}
			tell(c, uint64(k+1), e)
			time.Sleep(10 * time.Minute)
			if k%5 == 0 {
				crash(c)
				synctest.Wait()
				c = open(t, dir, Rules{}, b, there)
			}
		}
		b.set(nil, false)
		time.Sleep(time.Minute)
		require.Len(t, there.all(), 1+mostLines+3)
		require.Len(t, b.all(), 3, b.titles())
		assert.Equal(t, there.all()[0].ID, b.all()[0].ID)
		assert.Equal(t, "Alarm: bench (mower), code 07, and 19 more", b.titles()[1])
		assert.Equal(t, analyze.Alarm, b.all()[1].Severity)
		assert.Equal(t, eventIDs(there.all()), eventIDs(b.all()))
		require.Len(t, b.all()[1].Sessions, 3)
		assert.EqualValues(t, 9, b.all()[1].Sessions[0].ChargeInAh, "as it stood last")
		assert.NotContains(t, b.all()[1].Message, "and 1 more")
	})
}

// What a receiver does not want is joined by nothing that it may want, after a crash either.
func TestNothingJoinsWhatIsRefused(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		b.set(func(int) error { return errRefused }, false)
		c := open(t, dir, Rules{}, b)
		tell(c, 1, raised("first", analyze.Warning))
		time.Sleep(3 * time.Minute)
		tell(c, 2, raised("second", analyze.Warning))
		time.Sleep(3 * time.Minute)
		crash(c)
		synctest.Wait()
		c = open(t, dir, Rules{}, b)
		tell(c, 3, raised("third", analyze.Warning))
		time.Sleep(3 * time.Minute)
		b.set(nil, false)
		time.Sleep(3 * time.Minute)
		assert.Len(t, b.all(), 3, b.titles())
	})
}

// What only some of the receivers got is not sent again, and is told of.
func TestDeliveredToSomeIsNotSentAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		b.set(func(int) error { return fmt.Errorf("%w: to nobody@house.example", errPartly) }, false)
		c := open(t, t.TempDir(), Rules{}, b)
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(time.Hour)
		crash(c) // so that nobody writes what is read now
		synctest.Wait()
		assert.Equal(t, 1, b.tries)
		assert.Empty(t, c.Status().Unsent)
		assert.EqualValues(t, 1, c.Status().Targets[0].Counts[delivered])
		assert.Contains(t, c.Status().Targets[0].Trouble, "not everybody got it: to nobody@house.example")
	})
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
		assert.EqualValues(t, 22, c.Status().Targets[0].Counts[heldBack], "the alarm was not")
	})
}

// Somebody may have to get up for an alarm: where many come one after the other, each is told
// within a minute, and that they wait for each other is counted, logged, and shown meanwhile.
func TestManyAlarmsAreGroupedAndNotHeldBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, log := &box{}, new(testhelp.Log)
		c := Open(Options{Dir: t.TempDir(), Targets: []Target{b}, Log: log.Logger(slog.LevelWarn)})
		defer c.Close()
		for k := range 30 {
			tell(c, uint64(k+1), raised(fmt.Sprintf("alarm-%02d", k), analyze.Alarm))
			time.Sleep(2600 * time.Millisecond)
		}
		require.Greater(t, len(b.all()), mostAnHour-1)
		held := c.Status()
		require.NotEmpty(t, held.Unsent)
		assert.Contains(t, held.Unsent[0].Trouble, "more than 12 messages in an hour")
		assert.EqualValues(t, 30-mostAnHour, held.Targets[0].Counts[heldBack])
		assert.Equal(t, 1, log.Count("there are more than 12 in an hour"), log.String())
		time.Sleep(alarmsTogether)
		assert.Len(t, b.all(), mostAnHour+1)
		told := map[string]bool{}
		for _, n := range b.all() {
			for _, e := range n.Events {
				told[e.Code] = true
				assert.LessOrEqual(t, n.At.Sub(e.At), alarmsTogether+group, e.Code)
			}
		}
		assert.Len(t, told, 30)
		assert.Empty(t, c.Status().Unsent)
		for k := range 2 * mostLines {
			tell(c, uint64(100+k), raised(fmt.Sprintf("note-%02d", k), analyze.Note))
		}
		tell(c, 200, raised("late", analyze.Alarm))
		time.Sleep(alarmsTogether + group)
		last := b.all()[len(b.all())-1]
		assert.Len(t, last.Events, 2*mostLines+1)
		assert.Contains(t, last.Message, "evidence of late", "an alarm is spelt out before what is less")
		tell(c, 201, raised("at the very end", analyze.Alarm))
		c.Close()
		assert.Equal(t, "at the very end", b.all()[len(b.all())-1].Events[0].Code, "a stop leaves no alarm untold")
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
