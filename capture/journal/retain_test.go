package journal

import (
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const dayLength = 24 * time.Hour

// shelf is a data folder with one segment of ten records for each of days.
func shelf(days ...string) *memFS {
	m := newMemFS()
	for i, day := range days {
		first := uint64(i*10 + 1)
		date, err := time.Parse(time.DateOnly, day)
		if err != nil {
			panic(err)
		}
		data := appendHeader(nil, header{version: formatVersion, first: first, bootID: "b", channel: testName})
		for seq := first; seq < first+10; seq++ {
			f := lineFrame(int(seq))
			data = appendRecord(data, seq, &f)
		}
		name := segmentName(dayOf(date), first) + plainEnd
		m.put(filepath.Join(channelDir(testDir, testName), name), data)
	}
	return m
}

func always(Segment) bool { return true }

func firsts(segs []Segment) []uint64 {
	list := []uint64{}
	for _, s := range segs {
		list = append(list, s.First)
	}
	return list
}

func TestRetention(t *testing.T) {
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	week := []string{"2026-11-18", "2026-11-19", "2026-11-20", "2026-11-21", "2026-11-22"}
	for _, c := range []struct {
		name    string
		days    []string
		policy  Policy
		covered func(Segment) bool
		now     time.Time
		want    []uint64 // first numbers of what is removed
	}{
		{name: "no limit", days: week, now: now, want: []uint64{}},
		{
			name: "by age, the day counted from its end", days: append(week[:5:5], "2026-11-24", "2026-11-25"),
			policy: Policy{MaxAge: 4*dayLength + 12*time.Hour}, now: now, want: []uint64{1, 11},
		},
		{name: "never the newest", days: week, policy: Policy{MaxAge: time.Hour}, now: now.AddDate(1, 0, 0), want: []uint64{1, 11, 21}},
		{
			name: "a clock that leapt ahead, before anything was recorded by it", days: week, policy: Policy{MaxAge: 30 * dayLength},
			now: time.Date(2099, 1, 1, 0, 0, 20, 0, time.UTC), want: []uint64{},
		},
		{
			name: "a clock that leapt ahead today", days: append(week[:5:5], "2099-01-01"), policy: Policy{MaxAge: 30 * dayLength},
			now: time.Date(2099, 1, 1, 12, 0, 0, 0, time.UTC), want: []uint64{},
		},
		{
			name: "a clock that leapt ahead today, and the program was begun again", days: append(week[:5:5], "2099-01-01", "2099-01-01"),
			policy: Policy{MaxAge: 30 * dayLength}, now: time.Date(2099, 1, 1, 12, 0, 0, 0, time.UTC), want: []uint64{},
		},
		{
			name: "nobody was here for years, and somebody is for a day", days: append(week[:5:5], "2031-01-01", "2031-01-02"), policy: Policy{MaxAge: 30 * dayLength},
			now: time.Date(2031, 1, 2, 12, 0, 0, 0, time.UTC), want: []uint64{1, 11, 21, 31, 41},
		},
		{name: "clock in 1970, and no room", days: week, policy: Policy{MinFree: 1 << 60}, now: time.Unix(0, 0), want: []uint64{}},
		{name: "clock in 1970", days: week, policy: Policy{MaxAge: time.Hour}, now: time.Unix(0, 0), want: []uint64{}},
		{
			name: "nothing behind what is not covered", days: week, policy: Policy{MaxAge: time.Hour}, now: now,
			covered: func(s Segment) bool { return s.Last != 30 }, want: []uint64{1, 11},
		},
		{
			name: "a segment from before the clock was set is as old as its successor",
			days: []string{"1970-01-01", "2026-11-24", "2026-11-25"}, policy: Policy{MaxAge: 3 * dayLength}, now: now, want: []uint64{},
		},
		{
			name: "a day in the future is no evidence",
			days: []string{"2026-11-01", "2099-01-01", "2026-11-03", "2026-11-24", "2026-11-25"}, policy: Policy{MaxAge: 10 * dayLength}, now: now,
			want: []uint64{1, 11, 21},
		},
		{
			name: "a segment is not older than those before it",
			days: []string{"2026-11-24", "2026-01-01", "2026-11-25"}, policy: Policy{MaxAge: 10 * dayLength}, now: now, want: []uint64{},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := shelf(c.days...)
			j, err := Open(testDir, testOptions(m))
			require.NoError(t, err)
			defer closeJournal(t, j)
			covered := c.covered
			if covered == nil {
				covered = always
			}
			gone, err := j.Retain(c.policy, covered, c.now)
			require.NoError(t, err)
			assert.Equal(t, c.want, firsts(gone))
			left := segmentFiles(t, m)
			assert.Len(t, left, len(c.days)-len(c.want))
			_, damage := readAll(t, m, 0)
			assert.Empty(t, damage, "what is left is whole")
		})
	}
}

func TestRetentionByFreeSpaceStopsWhenThereIsEnough(t *testing.T) {
	m := shelf("2026-11-18", "2026-11-19", "2026-11-20", "2026-11-21")
	first := segmentFiles(t, m)[0].Path
	m.put(first+".torn-100", []byte("x"))
	m.put(packedPath(first), []byte("x"))
	m.free = 1000
	j, err := Open(testDir, testOptions(m))
	require.NoError(t, err)
	defer closeJournal(t, j)
	m.before = func(int) { m.free += 400 } // each file removed
	gone, err := j.Retain(Policy{MinFree: 2000}, always, evening)
	require.NoError(t, err)
	assert.Equal(t, []uint64{1}, firsts(gone), "its three files made 1200 bytes of room")
	names, err := m.ReadDir(channelDir(testDir, testName))
	require.NoError(t, err)
	assert.Len(t, names, 3)
}

func TestRetentionThatCannotRemove(t *testing.T) {
	m := shelf("2026-11-18", "2026-11-19", "2026-11-20", "2026-11-21")
	j, err := Open(testDir, testOptions(m))
	require.NoError(t, err)
	defer closeJournal(t, j)
	m.failFrom(2, syscall.EROFS, true)
	gone, err := j.Retain(Policy{MaxAge: time.Hour}, always, evening)
	require.ErrorIs(t, err, syscall.EROFS)
	assert.Equal(t, []uint64{1}, firsts(gone))
}

// A channel whose folder cannot be listed keeps no other from being packed and removed.
func TestHousekeepingBesideAFolderThatCannotBeListed(t *testing.T) {
	for _, name := range []string{"attic", "zinc"} { // before the sound one, and behind it
		m := shelf("2026-11-18", "2026-11-19", "2026-11-20", "2026-11-21")
		m.put(channelDir(testDir, name), []byte("x"))
		j, err := Open(testDir, testOptions(m))
		require.NoError(t, err)
		require.ErrorContains(t, j.Compress(t.Context()), name)
		for _, s := range segmentFiles(t, m) {
			assert.True(t, s.Packed, s.Path)
		}
		gone, err := j.Retain(Policy{MaxAge: time.Hour}, always, evening)
		require.ErrorContains(t, err, name)
		assert.Equal(t, []uint64{1, 11}, firsts(gone))
		closeJournal(t, j)
	}
}
