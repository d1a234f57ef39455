package spool

import (
	"bytes"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func open(t testing.TB, o Options) *Queue {
	t.Helper()
	return Open(o)
}

// push pushes a batch whose text is its number, ending with a record of channel a.
func push(q *Queue, number int) {
	q.Push(number%7+1, fmt.Appendf(nil, "batch %d", number), map[string]uint64{"a": uint64(number)})
}

// take delivers the oldest batch and returns its text, "" where there is none.
func take(t testing.TB, q *Queue) string {
	t.Helper()
	b, err := q.Take()
	require.NoError(t, err)
	if b == nil {
		return ""
	}
	text, err := Expand(b.Body)
	require.NoError(t, err)
	q.Done(b)
	return string(text)
}

func takeAll(t testing.TB, q *Queue) (all []string) {
	t.Helper()
	for text := take(t, q); text != ""; text = take(t, q) {
		all = append(all, text)
	}
	return all
}

// files are the names in a folder, without those put aside.
func files(t testing.TB, dir string) (names []string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, f := range list {
		if !strings.HasSuffix(f.Name(), ".damaged") {
			names = append(names, f.Name())
		}
	}
	return names
}

// While everything is taken as it comes, nothing is written at all.
func TestNothingIsWrittenWhileAllIsWell(t *testing.T) {
	dir := t.TempDir()
	q := open(t, Options{Dir: dir})
	for n := range 100 {
		push(q, n)
		require.Equal(t, fmt.Sprintf("batch %d", n), take(t, q))
	}
	assert.Empty(t, files(t, dir))
	assert.Equal(t, Level{}, q.Level())
	require.NoError(t, q.Note())
	assert.Equal(t, []string{"after"}, files(t, dir))
	before, err := os.Stat(filepath.Join(dir, "after"))
	require.NoError(t, err)
	require.NoError(t, q.Note())
	after, err := os.Stat(filepath.Join(dir, "after"))
	require.NoError(t, err)
	assert.Equal(t, before.ModTime(), after.ModTime(), "there was nothing new to say")
	assert.EqualValues(t, 99, open(t, Options{Dir: dir}).After("a"))
}

// What was kept comes out in order after a kill, and After says where to go on.
func TestAKillLosesWhatWasNotKeptAndSaysSo(t *testing.T) {
	dir := t.TempDir()
	q := open(t, Options{Dir: dir})
	q.Push(1, []byte("b alone"), map[string]uint64{"b": 7})
	for n := range 5 {
		push(q, n)
	}
	require.NoError(t, q.Keep())
	push(q, 5) // in memory only

	q = open(t, Options{Dir: dir})
	assert.EqualValues(t, 4, q.After("a"))
	assert.EqualValues(t, 7, q.After("b"), "the newest batch speaks for those before it")
	assert.Zero(t, q.After("c"))
	assert.Equal(t, 6, q.Level().Batches)
	assert.Equal(t, 1+1+2+3+4+5, q.Level().Points, "known without opening a file")
	push(q, 5)
	assert.Equal(t, []string{"b alone", "batch 0", "batch 1", "batch 2", "batch 3", "batch 4", "batch 5"}, takeAll(t, q))
	assert.Empty(t, files(t, dir))
}

// The note may be older than the newest batch, or newer; the newer of the two counts,
// also where lines are told anew and the numbers fall.
func TestTheNewerWordCounts(t *testing.T) {
	dir := t.TempDir()
	q := open(t, Options{Dir: dir})
	push(q, 50)
	require.NoError(t, q.Note())
	push(q, 20)
	require.NoError(t, q.Keep())
	q = open(t, Options{Dir: dir})
	assert.EqualValues(t, 20, q.After("a"))
	takeAll(t, q)
	push(q, 30)
	takeAll(t, q)
	assert.EqualValues(t, 50, open(t, Options{Dir: dir}).After("a"), "nothing newer is on disk: told again from there")
	require.NoError(t, q.Note())
	assert.EqualValues(t, 30, open(t, Options{Dir: dir}).After("a"))
}

// A batch that could not be delivered stays the first, in memory or on disk.
func TestWhatIsGivenBackStaysTheFirst(t *testing.T) {
	q := open(t, Options{Dir: t.TempDir()})
	push(q, 1)
	push(q, 2)
	for range 3 {
		b, err := q.Take()
		require.NoError(t, err)
		text, err := Expand(b.Body)
		require.NoError(t, err)
		require.Equal(t, "batch 1", string(text))
		q.Back()
		require.NoError(t, q.Keep())
	}
	assert.Equal(t, []string{"batch 1", "batch 2"}, takeAll(t, q))
}

// A folder that cannot be used, as somebody else's, stops nobody: points wait in memory, and
// on disk once it can.
func TestAFolderThatCannotBeUsed(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "push", "store")
	inTheWay := filepath.Dir(dir)
	require.NoError(t, os.WriteFile(inTheWay, nil, 0o600))
	var said bytes.Buffer
	q := open(t, Options{Dir: dir, Log: slog.New(slog.NewTextHandler(&said, nil))})
	assert.Contains(t, said.String(), "wait in memory only")
	push(q, 1)
	require.Error(t, q.Keep())
	require.NoError(t, os.Remove(inTheWay))
	require.NoError(t, q.Keep())
	assert.Equal(t, []string{"batch 1"}, takeAll(t, open(t, Options{Dir: dir})))
}

// Beyond its limit the oldest go, to the point counted, and what is being delivered
// at the moment does not.
func TestTheOldestGoBeyondTheLimit(t *testing.T) {
	dir := t.TempDir()
	assert.EqualValues(t, 64<<20, open(t, Options{Dir: dir}).limit, "unless it is said")
	q := open(t, Options{Dir: dir, Limit: 10 * block})
	lost := uint64(0)
	for n := range 30 {
		push(q, n)
		require.NoError(t, q.Keep())
		if n < 20 {
			lost += uint64(n%7 + 1)
		}
	}
	assert.Equal(t, lost, q.Level().Dropped)
	assert.Equal(t, 10, q.Level().Batches)
	assert.Len(t, files(t, dir), 10)
	b, err := q.Take()
	require.NoError(t, err)
	push(q, 30)
	require.NoError(t, q.Keep())
	q.Done(b)
	assert.Equal(t, lost+uint64(21%7+1), q.Level().Dropped, "the second went in place of the first")
	all := takeAll(t, q)
	assert.Equal(t, "batch 22", all[0])
	assert.Len(t, all, 9)

	q = open(t, Options{Dir: dir, Limit: 1})
	push(q, 31)
	require.NoError(t, q.Keep())
	assert.Equal(t, []string{"batch 31"}, takeAll(t, q), "one always has room")
}

// A disk that refuses costs nothing until memory is full; then the oldest go.
func TestTheDiskRefuses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "spool")
	q := open(t, Options{Dir: dir, Memory: 10 * len("batch 1")})
	require.NoError(t, os.Remove(dir))
	require.NoError(t, os.WriteFile(dir, nil, 0o644)) // a file where the folder should be
	for n := range 9 {
		push(q, n)
		require.Error(t, q.Keep())
		require.Error(t, q.Note())
	}
	assert.Zero(t, q.Level().Dropped)
	push(q, 9)
	push(q, 10)
	push(q, 11)
	assert.EqualValues(t, 1+2+3, q.Level().Dropped, "three, of one, two and three points")
	assert.Equal(t, 9, q.Level().Batches)

	require.NoError(t, os.Remove(dir))
	require.NoError(t, q.Keep())
	assert.Len(t, files(t, dir), 9)
	assert.Equal(t, "batch 3", take(t, open(t, Options{Dir: dir})))
}

// Whatever happens in whatever order: what waits is in order, what is lost is
// counted to the point, and what a kill took is told again behind After.
func TestRandomLives(t *testing.T) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 7))
		o := Options{Dir: t.TempDir(), Limit: int64(1+r.IntN(6)) * block, Memory: 40}
		q := open(t, o)
		pushed, points := 0, 0 // batches so far; points that wait or were dropped since Open
		for range 200 {
			switch r.IntN(8) {
			case 0, 1, 2, 3:
				pushed++
				points += pushed%7 + 1
				push(q, pushed)
			case 4:
				require.NoError(t, q.Keep())
			case 5:
				b, err := q.Take()
				require.NoError(t, err)
				if b == nil {
					continue
				}
				if r.IntN(3) == 0 {
					require.NoError(t, q.Keep()) // while it is under way
				}
				if r.IntN(2) == 0 {
					q.Back()
					continue
				}
				points -= b.Points
				q.Done(b)
			case 6:
				require.NoError(t, q.Note())
			case 7:
				if r.IntN(4) > 0 {
					continue
				}
				q = open(t, o)
				points = q.Level().Points
				for n := int(q.After("a")) + 1; n <= pushed; n++ { // as the journal does
					points += n%7 + 1
					push(q, n)
				}
			}
			level := q.Level()
			require.Equal(t, points-int(level.Dropped), level.Points, "seed %d", seed)
			require.LessOrEqual(t, level.Stored, o.Limit+block, "seed %d", seed)
		}
		last := 0
		for _, text := range takeAll(t, q) {
			n := 0
			_, err := fmt.Sscanf(text, "batch %d", &n)
			require.NoError(t, err)
			require.Greater(t, n, last, "seed %d", seed)
			last = n
		}
		require.Zero(t, q.Level().Points)
		require.Empty(t, slices.DeleteFunc(files(t, o.Dir), func(name string) bool { return name == marksFile }), "seed %d", seed)
	}
}
