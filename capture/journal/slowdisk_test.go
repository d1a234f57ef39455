package journal

import (
	"log/slog"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// killed is the disk as a kill leaves it: the system has all that was written, synced
// or not.
func (m *memFS) killed() *memFS {
	m.mu.Lock()
	defer m.mu.Unlock()
	after := newMemFS()
	for path, f := range m.names {
		after.put(path, slices.Clone(f.data))
	}
	return after
}

// A poor card takes seconds for a sync. What comes meanwhile is in the file at once
// all the same, and outlasts a kill: in a segment that has its name, and in one that
// waits for it.
func TestLinesDoNotWaitForASync(t *testing.T) {
	for what, before := range map[string]int{"the first segment": 0, "a later one": 5} {
		t.Run(what, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				m := newMemFS()
				if before > 0 {
					record(t, m, 1, before+1)
				}
				j, c := openJournal(t, testOptions(m))
				m.stall = time.Minute
				for i := before + 1; i <= 130; i++ {
					require.EqualValues(t, i, c.Append(lineFrame(i)))
					time.Sleep(900 * time.Millisecond)
					synctest.Wait()

					after := m.killed()
					again, next := openJournal(t, testOptions(after))
					require.EqualValues(t, i+1, next.Health().Next)
					closeJournal(t, again)
					recs, damage := readAll(t, after, 0)
					require.Equal(t, span(1, uint64(i)), numbers(recs))
					require.Empty(t, damage)
				}
				closeJournal(t, j)
			})
		})
	}
}

// A segment without its name that repeats lines is not wanted, nor is one without
// any; a torn tail of one that is wanted is set aside.
func TestUnfinishedSegments(t *testing.T) {
	path, data, starts := sound(t)
	for what, c := range map[string]struct {
		named, unnamed []byte
		want           []uint64
		torn           int
	}{
		"behind nothing":      {nil, data, span(1, 10), 0},
		"torn":                {nil, data[:starts[4]+7], span(1, 3), 1},
		"only a header":       {nil, data[:starts[1]], []uint64{}, 0},
		"zeros":               {nil, make([]byte, 500), []uint64{}, 0},
		"empty":               {nil, nil, []uint64{}, 0},
		"repeats what is old": {data, data[:starts[4]], span(1, 10), 0},
	} {
		t.Run(what, func(t *testing.T) {
			m := newMemFS()
			m.put(path+newEnd, c.unnamed)
			if c.named != nil {
				m.put(path, c.named)
			}
			var w testhelp.Log
			opt := testOptions(m)
			opt.Log = w.Logger(slog.LevelWarn)
			j, channel := openJournal(t, opt)
			next := channel.Append(lineFrame(0))
			closeJournal(t, j)
			recs, _ := readAll(t, m, 0)
			assert.Equal(t, append(c.want, next), numbers(recs))
			assert.Equal(t, c.torn, w.Count("set aside"))
			assert.Equal(t, c.torn, w.Count(""))
			assert.NotContains(t, m.names, path+newEnd)
		})
	}
}

// More than one write is waiting when the channel is closed.
func TestClosingSavesAllThatWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		j, c := openJournal(t, testOptions(m))
		c.Append(lineFrame(1))
		synctest.Wait()
		m.stall = time.Minute
		c.Append(lineFrame(2))
		c.SyncSoon()
		synctest.Wait()
		for i := 3; i <= 10_000; i++ {
			c.Append(lineFrame(i))
		}
		closeJournal(t, j)
		recs, _ := readAll(t, m.killed(), 0)
		assert.Len(t, recs, 10_000)
		assert.Zero(t, c.Health().Pending)
	})
}
