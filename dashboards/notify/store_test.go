package notify

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kept is a record with two conditions, of which one waits and one is in a message that nobody has got.
func kept(t *testing.T, dir string) []byte {
	t.Helper()
	var content []byte
	synctest.Test(t, func(t *testing.T) {
		b := &box{away: away}
		c := open(t, dir, Rules{}, b)
		tell(c, 1, raised("over-temperature", analyze.Alarm))
		time.Sleep(time.Minute)
		tell(c, 2, raised("stalled", analyze.Warning))
		synctest.Wait()
		var err error
		content, err = os.ReadFile(filepath.Join(dir, stateFile))
		require.NoError(t, err)
		crash(c)
		synctest.Wait()
	})
	return content
}

// written is what a ledger would be written down as, but for up to where it has looked.
func written(t *testing.T, l *ledger) (lines []string) {
	for _, p := range l.parts()[1:] {
		text, err := json.Marshal(p)
		require.NoError(t, err)
		lines = append(lines, string(text))
	}
	return lines
}

// Whatever the disk made of the record, all begins with it: what is sound of it is kept, nothing is invented, and what
// was damaged is put aside and told of. One bit costs one message or condition, or two if it was between them.
func TestRecordHarmedAtEveryByte(t *testing.T) {
	dir := t.TempDir()
	content := kept(t, dir)
	file := filepath.Join(dir, stateFile)
	whole, err := load(dir, time.Now())
	require.NoError(t, err)
	require.Len(t, whole.Conditions, 2)
	require.Len(t, whole.Unsent, 1)
	require.Len(t, whole.Waiting, 1)
	want := written(t, whole)
	try := func(hurt []byte, what string) []string {
		require.NoError(t, os.WriteFile(file, hurt, 0o600))
		l, err := load(dir, time.Now())
		require.ErrorContains(t, err, "it is put aside as state.damaged", what)
		aside, err := os.ReadFile(file + ".damaged")
		require.NoError(t, err)
		require.Equal(t, hurt, aside, what)
		got := written(t, l)
		require.Subset(t, want, got, what)
		return got
	}
	for n := range len(content) - 1 {
		try(content[:n], fmt.Sprint("cut at ", n))
	}
	for k := range len(content) - 1 {
		hurt := slices.Clone(content)
		hurt[k] ^= 1 << (k % 8)
		require.GreaterOrEqual(t, len(try(hurt, fmt.Sprint("byte ", k))), len(want)-2)
	}
}

// A start with a damaged record delivers what is left, tells what the journal tells again and was lost, and nothing
// else twice.
func TestStartWithAHarmedRecord(t *testing.T) {
	whole := kept(t, t.TempDir())
	for k := 0; k < len(whole)-1; k += 41 {
		synctest.Test(t, func(t *testing.T) {
			hurt := slices.Clone(whole)
			hurt[k] ^= 4
			dir, b := t.TempDir(), &box{}
			require.NoError(t, os.WriteFile(filepath.Join(dir, stateFile), hurt, 0o600))
			c := open(t, dir, Rules{}, b)
			c.Tell(Batch{Channel: "bench", Seq: 1, Replay: true, Events: []Event{raised("over-temperature", analyze.Alarm)}})
			c.Tell(Batch{Channel: "bench", Seq: 2, Replay: true, Events: []Event{raised("stalled", analyze.Warning)}})
			time.Sleep(2 * time.Minute)
			told := map[string]int{}
			for _, n := range b.all() {
				for _, e := range n.Events {
					told[e.Code]++
				}
			}
			for code, times := range told {
				assert.LessOrEqual(t, times, 2, "%s, byte %d", code, k)
			}
			assert.NotEmpty(t, told)
			_, err := load(dir, time.Now())
			assert.NoError(t, err, "it is whole again")
		})
	}
}

// As it was first written down.
func TestFirstRecordIsTakenOver(t *testing.T) {
	const first = `amphora-notify 1 `
	dir := t.TempDir()
	kept(t, dir)
	l, err := load(dir, time.Now())
	require.NoError(t, err)
	text, err := json.Marshal(l)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, stateFile), append([]byte(first+sum256(text)+"\n"), text...), 0o600))
	again, err := load(dir, time.Now())
	require.NoError(t, err)
	assert.Equal(t, written(t, l), written(t, again))
	assert.Equal(t, l.Seen, again.Seen)
	assert.Equal(t, l.Up, again.Up)

	require.NoError(t, os.WriteFile(filepath.Join(dir, stateFile), append([]byte(first+sum256(nil)+"\n"), text...), 0o600))
	_, err = load(dir, time.Now())
	assert.ErrorContains(t, err, "the checksum does not match")
}

func sum256(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
