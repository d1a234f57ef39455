package notify

import (
	"os"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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

// What came and went hours before a crash is told of by the replay as well; what was
// observed then is not observed once more.
func TestReplayOfWhatIsOverRepeatsNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		night := []Batch{
			{Channel: "bench", Seq: 10, Events: []Event{raised("over-temperature", analyze.Alarm)}},
			{Channel: "bench", Seq: 20, Events: []Event{cleared("over-temperature")}},
		}
		for k := range 3 {
			c := open(t, dir, Rules{}, b)
			for _, batch := range night {
				batch.Replay = k > 0
				c.Tell(batch)
				time.Sleep(10 * time.Second)
			}
			time.Sleep(3 * time.Hour)
			crash(c)
			synctest.Wait()
		}
		require.Len(t, b.all(), 2, b.titles())
		assert.Equal(t, "Cleared: bench (mower), over temperature", b.all()[1].Title)
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

// An acknowledgement that a disk which refuses keeps from being noted outlasts a crash.
func TestAnAcknowledgementIsKeptUntilItIsNoted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, dir := &box{}, t.TempDir()
		c := open(t, dir, Rules{Repeat: 30 * time.Minute}, b)
		tell(c, 1, raised("over-temperature", analyze.Alarm))
		time.Sleep(time.Minute)
		held, err := Acknowledge(dir, "")
		require.NoError(t, err)
		require.Len(t, held, 1)
		state := filepath.Join(dir, stateFile)
		require.NoError(t, os.Rename(state, state+"~"))
		require.NoError(t, os.Mkdir(state, 0o700)) // nothing can take its place
		time.Sleep(time.Minute)
		crash(c)
		synctest.Wait()
		require.NoError(t, os.Remove(state))
		require.NoError(t, os.Rename(state+"~", state))

		open(t, dir, Rules{Repeat: 30 * time.Minute}, b)
		time.Sleep(3 * time.Hour)
		assert.Equal(t, []string{"Alarm: bench (mower), over temperature"}, b.titles())
		left, err := os.ReadDir(filepath.Join(dir, ackFolder))
		require.NoError(t, err)
		assert.Empty(t, left)
	})
}
