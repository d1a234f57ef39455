package journal

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"testing"
	"time"

	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

const (
	testDir  = "data"
	testName = "bench"
)

var evening = time.Date(2026, 11, 25, 20, 0, 0, 0, time.UTC)

// lineFrame is the i-th line of a night at one line a second. Every seventh has
// bytes that need escaping.
func lineFrame(i int) capture.Frame {
	text := fmt.Sprintf("V=13.%02d A=04.10*5C n=%d", i%100, i)
	if i%7 == 0 {
		text += "\t\\ \x00\xff"
	}
	return capture.Frame{
		Wall: evening.Add(time.Duration(i) * time.Second),
		Boot: time.Duration(i)*time.Second + 250*time.Millisecond,
		Text: []byte(text),
	}
}

func quiet() *slog.Logger { return slog.New(slog.DiscardHandler) }

// testOptions are the defaults with nothing of the machine in them.
func testOptions(fsys FS) Options {
	return Options{BootID: "boot-1", Log: quiet(), FS: fsys}
}

// loudOptions are the same with a log of the warnings.
func loudOptions(fsys FS) (Options, *testhelp.Log) {
	var w testhelp.Log
	opt := testOptions(fsys)
	opt.Log = w.Logger(slog.LevelWarn)
	return opt, &w
}

func openJournal(t testing.TB, opt Options) (*Journal, *Channel) {
	t.Helper()
	j, err := Open(testDir, opt)
	require.NoError(t, err)
	c, err := j.Channel(testName, 0)
	require.NoError(t, err)
	return j, c
}

func closeJournal(t testing.TB, j *Journal) {
	t.Helper()
	require.NoError(t, j.Close(context.Background()))
}

// record writes lines from up to but without to, in one closed segment.
func record(t testing.TB, fsys FS, from, to int) {
	t.Helper()
	j, c := openJournal(t, testOptions(fsys))
	for i := from; i < to; i++ {
		c.Append(lineFrame(i))
	}
	closeJournal(t, j)
}

// readAll reads a channel and keeps copies of everything.
func readAll(t testing.TB, fsys FS, from uint64) (recs []Record, damage []*Damage) {
	t.Helper()
	r, err := newReader(fsys, testDir, testName, from)
	require.NoError(t, err)
	defer r.Close()
	r.OnDamage = func(d *Damage) { damage = append(damage, d) }
	for r.Next() {
		rec := r.Record()
		rec.Text = slices.Clone(rec.Text)
		recs = append(recs, rec)
	}
	require.NoError(t, r.Err())
	return recs, damage
}

// numbers are the sequence numbers of records.
func numbers(recs []Record) []uint64 {
	seqs := []uint64{}
	for _, rec := range recs {
		seqs = append(seqs, rec.Seq)
	}
	return seqs
}

// span is from, from+1, ... to.
func span(from, to uint64) []uint64 {
	seqs := []uint64{}
	for ; from <= to; from++ {
		seqs = append(seqs, from)
	}
	return seqs
}

// segmentFiles are the plain segments of the test's channel in order.
func segmentFiles(t testing.TB, fsys FS) []Segment {
	t.Helper()
	segs, err := listSegments(fsys, testDir, testName)
	require.NoError(t, err)
	return segs
}
