package journal

import (
	"context"
	"fmt"
	"math/rand/v2"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// nightFrame is lineFrame with midnight after the eighth line.
func nightFrame(i int) capture.Frame {
	f := lineFrame(i)
	f.Wall = time.Date(2026, 11, 26, 0, 0, i-9, 0, time.UTC)
	return f
}

// Fail the first operation, the second, ... until a run passes untouched; with
// each error, once and until healed. All lines must be in the journal after it,
// and survive a power cut.
func TestEveryOperationMayFail(t *testing.T) {
	for _, fault := range []error{syscall.ENOSPC, syscall.EIO, syscall.EROFS} {
		for _, forever := range []bool{false, true} {
			t.Run(fmt.Sprintf("%v, for ever %v", fault, forever), func(t *testing.T) {
				for n := 1; ; n++ {
					var touched bool
					synctest.Test(t, func(t *testing.T) { touched = runWithFault(t, n, fault, forever) })
					if !touched {
						assert.Greater(t, n, 20, "operations of an untouched run")
						return
					}
				}
			})
		}
	}
}

func runWithFault(t *testing.T, n int, fault error, forever bool) (touched bool) {
	m := newMemFS()
	opt, w := loudOptions(m)
	opt.SegmentBytes = 600 // a few lines
	j, c := openJournal(t, opt)
	m.failFrom(n, fault, forever)
	for i := 1; i <= 20; i++ {
		c.Append(nightFrame(i))
		time.Sleep(400 * time.Millisecond)
	}
	synctest.Wait()
	touched = m.reached()
	if touched && forever {
		h := c.Health()
		require.ErrorIs(t, h.Fault, fault)
		require.ErrorIs(t, j.Degraded(), fault)
		require.ErrorIs(t, c.Sync(context.Background()), fault)
		require.Positive(t, h.Pending)
		require.Equal(t, 1, w.Count("in memory"), "loud, and once")
	} else {
		require.NoError(t, j.Degraded(), "operation %d", n)
	}
	m.healAndWait()
	require.NoError(t, j.Degraded(), "back to normal within 10 s of healing")
	require.NoError(t, c.Sync(context.Background()))
	require.Zero(t, c.Health().Pending)

	after := m.cut(rand.New(rand.NewPCG(uint64(n), 0)))
	for _, fsys := range []*memFS{m, after} {
		recs, damage := readAll(t, fsys, 0)
		require.Equal(t, span(1, 20), numbers(recs), "operation %d", n)
		require.Zero(t, lostIn(damage))
		for i, rec := range recs {
			require.Equal(t, nightFrame(i+1), rec.Frame)
		}
	}
	closeJournal(t, j)
	return touched
}

// A sync that failed and then succeeds proves nothing: what it was to save must
// be written again elsewhere.
func TestAFailedSyncBeginsANewSegmentWithTheUnsyncedLines(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		j, c := openJournal(t, testOptions(m))
		for i := 1; i <= 3; i++ {
			c.Append(lineFrame(i))
			require.NoError(t, c.Sync(context.Background()))
		}
		c.Append(lineFrame(4))
		c.Append(lineFrame(5))
		synctest.Wait()
		m.failFrom(1, syscall.EIO, false) // the sync
		require.NoError(t, c.Sync(context.Background()))
		assert.EqualValues(t, 1, c.Health().Faults)
		segs := segmentFiles(t, m)
		require.Len(t, segs, 2)
		assert.EqualValues(t, 4, segs[1].First)
		after := m.cut(rand.New(rand.NewPCG(3, 4)))
		recs, _ := readAll(t, after, 0)
		assert.Equal(t, span(1, 5), numbers(recs))
		closeJournal(t, j)
	})
}

// A full disk stores half of a write. The half must go, or it looks like damage
// for ever.
func TestAShortWriteIsCutBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		j, c := openJournal(t, testOptions(m))
		c.Append(lineFrame(1))
		require.NoError(t, c.Sync(context.Background()))
		path := segmentFiles(t, m)[0].Path
		size := len(m.names[path].data)
		m.failFrom(1, syscall.ENOSPC, false)
		c.Append(lineFrame(2))
		synctest.Wait()
		assert.Len(t, m.names[path].data, size)
		recs, damage := readAll(t, m, 0)
		assert.Equal(t, span(1, 2), numbers(recs))
		assert.Empty(t, damage)
		assert.EqualValues(t, 1, c.Health().Faults)
		closeJournal(t, j)
	})
}

// Memory is bounded: the oldest lines go, are counted, and are named as missing.
func TestAnOutageLongerThanTheMemory(t *testing.T) {
	for name, set := range map[string]func(*Options){
		"lines": func(o *Options) { o.MaxLines = 100 },
		"bytes": func(o *Options) { o.MaxBytes = 9000 },
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				m := newMemFS()
				opt := testOptions(m)
				set(&opt)
				j, c := openJournal(t, opt)
				c.Append(lineFrame(1))
				require.NoError(t, c.Sync(context.Background()))
				m.failFrom(1, syscall.EROFS, true)
				for i := 2; i <= 1000; i++ {
					c.Append(lineFrame(i))
				}
				synctest.Wait()
				h := c.Health()
				assert.ErrorIs(t, h.Fault, syscall.EROFS)
				assert.InDelta(t, 100, h.Pending, 5)
				assert.EqualValues(t, 999, uint64(h.Pending)+h.Dropped)
				m.healAndWait()
				assert.NoError(t, c.Health().Fault)
				recs, damage := readAll(t, m, 0)
				assertSound(t, recs)
				assert.Equal(t, append(span(1, 1), span(2+h.Dropped, 1000)...), numbers(recs))
				assert.Equal(t, h.Dropped, lostIn(damage))
				closeJournal(t, j)
			})
		})
	}
}

func TestClosingWhileTheDiskIsAwaySaysHowMuchIsLost(t *testing.T) {
	m := newMemFS()
	j, c := openJournal(t, testOptions(m))
	m.failFrom(1, syscall.EROFS, true)
	c.Append(lineFrame(1))
	c.Append(lineFrame(2))
	err := j.Close(context.Background())
	require.ErrorIs(t, err, syscall.EROFS)
	assert.ErrorContains(t, err, "2 lines")
}

// A read-only disk at the start: what is there is read, new lines wait.
func TestOpeningOnAReadOnlyDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		path, data, _ := sound(t)
		m := newMemFS()
		m.put(path, data[:len(data)-5])
		m.put(path+newEnd, data)
		m.failFrom(1, syscall.EROFS, true)
		opt, w := loudOptions(m)
		j, c := openJournal(t, opt)
		assert.Equal(t, 1, w.Count("cannot be set aside"))
		assert.Equal(t, 1, w.Count("unfinished file"))
		assert.EqualValues(t, 11, c.Append(lineFrame(11)), "number 10 was torn")
		synctest.Wait()
		assert.ErrorIs(t, j.Degraded(), syscall.EROFS)
		m.healAndWait()
		recs, damage := readAll(t, m, 0)
		assert.Equal(t, append(span(1, 9), 11), numbers(recs))
		require.Len(t, damage, 1)
		assert.ErrorIs(t, damage[0], ErrTorn)
		assert.EqualValues(t, 1, damage[0].Lost)
		closeJournal(t, j)
	})
}

// A card that neither fails nor answers is a fault too, and stops nobody.
func TestADiskThatHangs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		j, c := openJournal(t, testOptions(m))
		c.Append(lineFrame(1))
		require.NoError(t, c.Sync(context.Background()))
		m.stall = time.Minute
		for i := 2; i <= 31; i++ {
			c.Append(lineFrame(i))
			time.Sleep(time.Second)
		}
		h := c.Health()
		require.Error(t, h.Fault)
		assert.Regexp(t, `^the disk has not answered for \d+ s$`, h.Fault.Error())
		assert.Equal(t, 30, h.Pending)
		assert.False(t, h.Since.IsZero())
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		assert.ErrorIs(t, c.Sync(ctx), context.DeadlineExceeded)
		cancel()
		ctx, cancel = context.WithTimeout(context.Background(), 5*time.Second)
		assert.ErrorIs(t, j.Close(ctx), context.DeadlineExceeded, "stopping does not wait for ever")
		cancel()
		<-c.done
		recs, _ := readAll(t, m, 0)
		assert.Equal(t, span(1, 31), numbers(recs), "the disk came back after all")
	})
}

// A new channel while the disk is away begins in memory.
func TestANewChannelOnADiskThatIsAway(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMemFS()
		j, err := Open(testDir, testOptions(m))
		require.NoError(t, err)
		m.failFrom(1, syscall.EROFS, true)
		c, err := j.Channel(testName, 0)
		require.NoError(t, err)
		c.Append(lineFrame(1))
		synctest.Wait()
		assert.ErrorIs(t, c.Health().Fault, syscall.EROFS)
		m.healAndWait()
		assert.EqualValues(t, 1, c.Health().Synced)
		closeJournal(t, j)
	})
}

// Numbers that a segment may hold which cannot be read are not given out again.
func TestTheNewestSegmentCannotBeRead(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 11)
	opt, w := loudOptions(m)
	m.opening = func(string) error { return syscall.EIO }
	_, c := openJournal(t, opt)
	assert.Greater(t, c.Health().Next, uint64(10))
	assert.Less(t, c.Health().Next, uint64(30))
	assert.Equal(t, 1, w.Count("cannot read"))
}
