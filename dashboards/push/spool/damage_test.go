package spool

import (
	"bytes"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of three batches one is harmed. The others come out, the harmed one is put aside,
// and one line says so.
func TestHarm(t *testing.T) {
	for _, c := range []struct {
		name  string
		which int
		harm  func([]byte) []byte
	}{
		{"the newest cut in half", 2, func(b []byte) []byte { return b[:len(b)/2] }},
		{"the newest of zeros, as after a power cut", 2, func(b []byte) []byte { return make([]byte, len(b)) }},
		{"the newest empty", 2, func([]byte) []byte { return nil }},
		{"one bit flipped in the middle one", 1, func(b []byte) []byte { b[len(b)-9] ^= 4; return b }},
		{"foreign bytes behind the first", 0, func(b []byte) []byte { return append(b, "more"...) }},
		{"a bit flipped in the marks", 1, func(b []byte) []byte { b[bytes.IndexByte(b, '{')+1] ^= 1; return b }},
		{"another batch under its name", 0, func([]byte) []byte {
			s := stored{number: 99, points: 2, marks: map[string]uint64{"a": 1}}
			other, _ := s.marshal()
			return other
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			q := open(t, Options{Dir: dir})
			want := []string{"batch 1", "batch 2", "batch 3"}
			for n := range want {
				push(q, n+1)
			}
			require.NoError(t, q.Keep())
			name := filepath.Join(dir, files(t, dir)[c.which])
			b, err := os.ReadFile(name)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(name, c.harm(b), 0o644))

			var said bytes.Buffer
			q = open(t, Options{Dir: dir, Log: slog.New(slog.NewTextHandler(&said, nil))})
			newest := c.which == len(want)-1
			if newest {
				assert.EqualValues(t, 2, q.After("a"), "so that the journal tells it again")
			} else {
				assert.EqualValues(t, 3, q.After("a"))
			}
			got := takeAll(t, q)
			assert.Equal(t, append(want[:c.which:c.which], want[c.which+1:]...), got)
			if lost := uint64(c.which + 2); newest {
				assert.Zero(t, q.Level().Dropped)
			} else {
				assert.Equal(t, lost, q.Level().Dropped)
			}
			assert.Zero(t, q.Level().Points)
			assert.Equal(t, 1, strings.Count(said.String(), "\n"), said.String())
			assert.FileExists(t, name+".damaged")
			push(q, 4)
			require.NoError(t, q.Keep())
			assert.Equal(t, []string{"batch 4"}, takeAll(t, open(t, Options{Dir: dir})))
		})
	}
}

// Cut at every byte, the newest file is either whole or put aside.
func TestTornAtEveryByte(t *testing.T) {
	s := stored{number: 1, points: 5, marks: map[string]uint64{"a": 9}, body: Compress([]byte("x"))}
	whole, err := s.marshal()
	require.NoError(t, err)
	for n := range whole {
		_, err := parse(whole[:n])
		require.ErrorIs(t, err, errDamaged, "cut at byte %d", n)
	}
	back, err := parse(whole)
	require.NoError(t, err)
	assert.Equal(t, &s, back)
}

// Whatever single byte of a batch or of the note the disk changed, and wherever it cut them: the folder can be opened,
// all other batches come out, what the journal does not tell again is counted as lost, and one line says so.
func TestHarmedAtEveryByte(t *testing.T) {
	dir := t.TempDir()
	q := open(t, Options{Dir: dir})
	want := []string{"batch 1", "batch 2", "batch 3"}
	for n := range want {
		push(q, n+1)
	}
	require.NoError(t, q.Note())
	names := files(t, dir)
	require.Len(t, names, 4)
	whole := map[string][]byte{}
	for _, name := range names {
		b, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		whole[name] = b
	}
	try := func(which int, hurt []byte, what string) {
		dir := t.TempDir()
		for name, b := range whole {
			if name == names[which] {
				b = hurt
			}
			require.NoError(t, os.WriteFile(filepath.Join(dir, name), b, 0o644))
		}
		var said bytes.Buffer
		q := open(t, Options{Dir: dir, Log: slog.New(slog.NewTextHandler(&said, nil))})
		after, left, dropped := uint64(3), want, uint64(0) // the note is whole, or the newest batch says the same
		if names[which] != marksFile {
			left, dropped = append(want[:which:which], want[which+1:]...), uint64(which+2)
			if which == len(want)-1 {
				after, dropped = 2, 0 // the journal tells it again, whatever the note says
			}
		}
		require.Equal(t, after, q.After("a"), what)
		require.Equal(t, after, open(t, Options{Dir: dir}).After("a"), "once more: "+what)
		require.Equal(t, left, takeAll(t, q), what)
		require.Equal(t, dropped, q.Level().Dropped, what)
		require.Equal(t, 1, strings.Count(said.String(), "\n"), said.String())
		_ = os.RemoveAll(dir)
	}
	for which, name := range names {
		for k := range whole[name] {
			try(which, whole[name][:k], fmt.Sprintf("%s cut at %d", name, k))
			hurt := bytes.Clone(whole[name])
			hurt[k] ^= 1 << (k % 8)
			try(which, hurt, fmt.Sprintf("%s, byte %d", name, k))
		}
	}
}

// A note that is damaged costs nothing but sending some points twice.
func TestTheNoteIsHarmed(t *testing.T) {
	dir := t.TempDir()
	q := open(t, Options{Dir: dir})
	push(q, 1)
	require.NoError(t, q.Note())
	takeAll(t, q)
	require.NoError(t, os.WriteFile(filepath.Join(dir, marksFile), []byte("amphora-spool 1 9 0 00000000\n{}\n"), 0o644))
	q = open(t, Options{Dir: dir})
	assert.Zero(t, q.After("a"))
	push(q, 2)
	require.NoError(t, q.Note())
	assert.EqualValues(t, 2, open(t, Options{Dir: dir}).After("a"))
}

// What is not ours stays where it is; what was begun and never finished goes.
func TestOtherFiles(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"readme.txt", "12-3.batch", "0000000000000000000x-3.batch", ".00000000000000000001-1.batch-42"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("x"), 0o644))
	}
	require.NoError(t, os.Mkdir(filepath.Join(dir, batchName(1, 1)), 0o755))
	q := open(t, Options{Dir: dir})
	assert.Empty(t, takeAll(t, q))
	assert.ElementsMatch(t, []string{"readme.txt", "12-3.batch", "0000000000000000000x-3.batch", batchName(1, 1)}, files(t, dir))
}

// Any bytes are either a file of the spool, which is then written the same way again,
// or damaged.
func FuzzSpoolFile(f *testing.F) {
	s := stored{number: 42, points: 5000, marks: map[string]uint64{"bench": 90210, "ü,=": 1}, body: Compress([]byte("charge_sample v=1 1\n"))}
	whole, err := s.marshal()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add(whole[:len(whole)-3])
	f.Add([]byte(fileMark + "1 0 00000000\n{}\n"))
	f.Add([]byte("amphora-spool 2 1 1 00000000\n{}\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := parse(b)
		if err != nil {
			require.ErrorIs(t, err, errDamaged)
			return
		}
		again, err := s.marshal()
		require.NoError(t, err)
		back, err := parse(again)
		require.NoError(t, err)
		require.Equal(t, s.number, back.number)
		require.Equal(t, s.marks, back.marks)
		require.Equal(t, s.body, back.body)
	})
}

// Whatever names a folder holds, it can be opened, and a name is taken for a batch's
// only if it is written like one.
func FuzzSpoolName(f *testing.F) {
	f.Add(batchName(1, 5000))
	f.Add("00000000000000000001-05000.batch")
	f.Add("after")
	f.Fuzz(func(t *testing.T, name string) {
		if number, points, ok := parseName(name); ok {
			require.Equal(t, name, batchName(number, points))
		}
	})
}
