package journal

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// Power is cut before any operation of a busy night, with or without a fault of
// the disk before it. Afterwards the journal opens, every record whose sync had
// returned is there, and none is invented. AMPHORA_LONG=1
// tries 10 000 images instead of 1000.
func TestPowerCuts(t *testing.T) {
	nights := 500 // two images each
	if os.Getenv("AMPHORA_LONG") != "" {
		nights = 5000
	}
	for night := range nights {
		rng := rand.New(rand.NewPCG(uint64(night), 7))
		synctest.Test(t, func(t *testing.T) {
			var safe []uint64
			m := newMemFS()
			for range 2 {
				after, synced := nightWithPowerCut(t, m, rng)
				if n := len(safe); n > 0 {
					safe = append(safe, span(safe[n-1]+1, synced)...)
				} else {
					safe = span(1, synced)
				}
				m, safe = after, checkAfterCut(t, after, safe, night)
			}
		})
	}
}

// nightWithPowerCut records some lines and returns what the disk holds after a
// power cut at a random operation, and the number up to which records were
// reported as durable by then.
func nightWithPowerCut(t *testing.T, m *memFS, rng *rand.Rand) (after *memFS, safe uint64) {
	opt := testOptions(m)
	opt.SegmentBytes = 300 + rng.Int64N(9000)
	m.makeDir(filepath.Join(testDir, allChannels))
	if rng.IntN(2) == 0 {
		fault := []error{syscall.ENOSPC, syscall.EIO}[rng.IntN(2)]
		m.failFrom(1+rng.IntN(40), fault, false)
	}
	j, c := openJournal(t, opt)
	ops, _ := m.counts()
	cutAt, cutRNG := ops+1+rng.IntN(60), rand.New(rand.NewPCG(rng.Uint64(), 0))
	m.before = func(op int) {
		if op == cutAt {
			after, safe = m.crash(cutRNG), c.Health().Synced
		}
	}
	for range 40 {
		for range 1 + rng.IntN(10) {
			c.Append(lineFrame(int(c.Health().Next)))
		}
		time.Sleep(time.Duration(rng.IntN(700)) * time.Millisecond)
	}
	closeJournal(t, j)
	if after == nil {
		after, safe = m.crash(rng), c.Health().Synced
	}
	return after, safe
}

// checkAfterCut opens the journal again, checks that all safe records are there,
// and returns the numbers of all that is there then.
func checkAfterCut(t *testing.T, m *memFS, safe []uint64, night int) []uint64 {
	t.Helper()
	j, c := openJournal(t, testOptions(m))
	next := c.Append(lineFrame(int(c.Health().Next)))
	closeJournal(t, j)
	recs, _ := readAll(t, m, 0)
	assertSound(t, recs)
	seqs := numbers(recs)
	require.True(t, slices.IsSorted(seqs))
	require.Equal(t, seqs, slices.Compact(slices.Clone(seqs)))
	require.Equal(t, next, seqs[len(seqs)-1])
	for _, seq := range safe {
		_, there := slices.BinarySearch(seqs, seq)
		require.True(t, there, "night %d: record %d was reported as safe", night, seq)
	}
	return seqs
}
