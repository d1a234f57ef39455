package journal

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatGoesInComesOut(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 101)
	recs, damage := readAll(t, m, 0)
	assert.Empty(t, damage)
	require.Equal(t, span(1, 100), numbers(recs))
	for i, rec := range recs {
		assert.Equal(t, lineFrame(i+1), rec.Frame)
		assert.Equal(t, "boot-1", rec.BootID)
	}
}

func TestReadingBeginsWhereAsked(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 11)
	record(t, m, 11, 21)
	record(t, m, 21, 31)
	for from := uint64(1); from <= 31; from++ {
		recs, damage := readAll(t, m, from)
		assert.Empty(t, damage)
		assert.Equal(t, span(from, 30), numbers(recs), "from %d", from)
	}
}

func TestLinesReachTheDiskAtOnceAndAreSyncedWithinASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		j, c := openJournal(t, testOptions(m))
		c.Append(lineFrame(1)) // begins the segment, which is synced at once
		synctest.Wait()
		c.Append(lineFrame(2))
		synctest.Wait()
		recs, _ := readAll(t, m, 0)
		assert.Equal(t, span(1, 2), numbers(recs), "a record is handed over at once")
		assert.EqualValues(t, 1, c.Health().Synced)
		time.Sleep(time.Second)
		synctest.Wait()
		assert.EqualValues(t, 2, c.Health().Synced)
		closeJournal(t, j)
	})
}

// An hour at one line a second, as promised for a memory card: fewer than 3700
// syncs an hour by default, fewer than 120 in the low-wear setting, and none
// while nothing comes.
func TestSyncsOfAnHour(t *testing.T) {
	for every, limit := range map[time.Duration]int{time.Second: 3700, time.Minute: 120} {
		t.Run(every.String(), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				m := newMemFS()
				opt := testOptions(m)
				opt.SyncEvery = every
				observed := 0
				opt.OnSync = func(channel string, _ time.Duration) {
					assert.Equal(t, testName, channel)
					observed++
				}
				j, c := openJournal(t, opt)
				for i := range 3600 {
					c.Append(lineFrame(i))
					time.Sleep(time.Second)
				}
				synctest.Wait()
				_, syncs := m.counts()
				assert.Less(t, syncs, limit)
				assert.GreaterOrEqual(t, syncs, int(time.Hour/every)/2)
				assert.Equal(t, syncs, observed)
				assert.Less(t, c.Health().Written, uint64(8<<20))

				time.Sleep(every)
				synctest.Wait()
				before, _ := m.counts()
				time.Sleep(time.Hour)
				synctest.Wait()
				after, _ := m.counts()
				assert.Equal(t, before, after, "idle means no writes")
				closeJournal(t, j)
			})
		})
	}
}

func TestSyncSoonDoesNotWaitForTheInterval(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		opt := testOptions(m)
		opt.SyncEvery = time.Minute
		j, c := openJournal(t, opt)
		for i := range 10 {
			c.Append(lineFrame(i))
			synctest.Wait()
		}
		assert.EqualValues(t, 1, c.Health().Synced)
		c.SyncSoon()
		synctest.Wait()
		assert.EqualValues(t, 10, c.Health().Synced)
		c.Append(lineFrame(10))
		require.NoError(t, c.Sync(context.Background()))
		assert.EqualValues(t, 11, c.Health().Synced)
		closeJournal(t, j)
	})
}

func TestANewDayBeginsANewSegmentAndOrderIsByNumber(t *testing.T) {
	m := newMemFS()
	j, c := openJournal(t, testOptions(m))
	days := []string{"2026-11-25", "2026-11-25", "2026-11-26", "2026-11-26", "2026-11-25", "1970-01-01", "2026-11-26"}
	for _, day := range days {
		wall, err := time.Parse(time.DateOnly, day)
		require.NoError(t, err)
		c.Append(capture.Frame{Wall: wall, Text: []byte(day)})
	}
	closeJournal(t, j)
	var names []string
	for _, seg := range segmentFiles(t, m) {
		names = append(names, segmentName(dayOf(seg.Day), seg.First))
	}
	assert.Equal(t, []string{
		"2026-11-25-000000000001", "2026-11-26-000000000003", "2026-11-25-000000000005",
		"1970-01-01-000000000006", "2026-11-26-000000000007",
	}, names)
	recs, damage := readAll(t, m, 0)
	assert.Empty(t, damage)
	for i, rec := range recs {
		assert.Equal(t, days[i], string(rec.Text))
	}
}

func TestALargeSegmentIsFollowedByAnother(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		opt := testOptions(m)
		opt.SegmentBytes = 1000
		j, c := openJournal(t, opt)
		for i := range 100 {
			c.Append(lineFrame(i))
			synctest.Wait()
		}
		closeJournal(t, j)
		assert.Len(t, segmentFiles(t, m), 9, "12 lines of some 85 bytes a segment")
		recs, damage := readAll(t, m, 0)
		assert.Empty(t, damage)
		assert.Equal(t, span(1, 100), numbers(recs))
	})
}

// A wish for a sync that comes with a line between two looks of the writer, first for lines
// and then for wishes, is for that line.
func TestAWishIsNotLostBetweenTwoLooks(t *testing.T) {
	m := newMemFS()
	j, err := Open(testDir, Options{BootID: "boot-1", Log: quiet(), FS: m, SyncEvery: time.Minute})
	require.NoError(t, err)
	c := newChannel(j, testName, 1) // whose writer is this test
	w := &writer{c: c}
	c.Append(lineFrame(1))
	require.NoError(t, w.drain()) // begins the segment
	_, waiting := w.nextBatch()
	require.False(t, waiting)
	c.Append(lineFrame(2))
	c.SyncSoon()
	assert.False(t, w.shouldSync(), "the line is not written")
	require.NoError(t, w.drain())
	assert.EqualValues(t, 2, c.Health().Synced)
	require.NoError(t, w.file.Close())
	closeJournal(t, j)
}

func TestNumbersGoOnAfterReopeningAndNotBelowTheCheckpoint(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 6)
	j, err := Open(testDir, testOptions(m))
	require.NoError(t, err)
	c, err := j.Channel(testName, 9)
	require.NoError(t, err)
	assert.EqualValues(t, 9, c.Append(lineFrame(9)))
	closeJournal(t, j)
	recs, damage := readAll(t, m, 0)
	assert.Equal(t, []uint64{1, 2, 3, 4, 5, 9}, numbers(recs))
	require.Len(t, damage, 1)
	assert.ErrorIs(t, damage[0], ErrMissing)
	assert.EqualValues(t, 6, damage[0].First)
	assert.EqualValues(t, 3, damage[0].Lost)
}

func TestAClosedJournalRecordsNothing(t *testing.T) {
	m := newMemFS()
	j, c := openJournal(t, testOptions(m))
	c.Append(lineFrame(1))
	closeJournal(t, j)
	assert.Zero(t, c.Append(lineFrame(2)))
	_, err := j.Channel("other", 0)
	assert.ErrorIs(t, err, errClosed)
	recs, _ := readAll(t, m, 0)
	assert.Equal(t, span(1, 1), numbers(recs))
}

func TestChannelNamesThatCannotBe(t *testing.T) {
	m := newMemFS()
	j, _ := openJournal(t, testOptions(m))
	defer closeJournal(t, j)
	for _, name := range []string{"", testName, "BENCH", string(make([]byte, 100))} {
		_, err := j.Channel(name, 0)
		assert.Error(t, err, "%q", name)
	}
}

// What a channel keeps in memory while the disk is away, and how often the disk is tried.
func TestRoomWithoutADisk(t *testing.T) {
	j, err := Open(testDir, testOptions(newMemFS()))
	require.NoError(t, err)
	assert.Equal(t, 100_000, j.opt.MaxLines)
	assert.Equal(t, 16<<20, j.opt.MaxBytes)
	assert.Equal(t, 10*time.Second, j.opt.RetryEvery)
	closeJournal(t, j)
}

func TestOptionsOutsideTheirRange(t *testing.T) {
	for _, opt := range []Options{
		{SyncEvery: -1}, {SyncEvery: 2 * time.Minute}, {RetryEvery: -1}, {MaxLines: -1}, {MaxBytes: -1}, {SegmentBytes: -1}, {BootID: "a b"},
	} {
		_, err := Open(testDir, opt)
		assert.Error(t, err, "%+v", opt)
	}
}
