package logbook

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const pageSize = 4096

// fullBook writes a closed book of 1 battery, 200 readings, 50 notes and 50
// sessions, and returns its bytes.
func fullBook(t *testing.T, path string) []byte {
	book, err := Open(t.Context(), path)
	require.NoError(t, err)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	for n := range 200 {
		_, err := book.AddReading(t.Context(), Reading{Battery: "mower", At: evening.Add(time.Duration(n) * time.Hour),
			Volts: new(12.5), Remark: Text(fmt.Sprint("remark ", n))})
		require.NoError(t, err)
	}
	for n := range 50 {
		require.NoError(t, book.PutSession(t.Context(), charge(n)))
		_, err := book.Annotate(t.Context(), charge(n).Summary.ID, evening, fmt.Sprint("note ", n))
		require.NoError(t, err)
	}
	require.NoError(t, book.Close())
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Zero(t, len(file)%pageSize)
	return file
}

// rootPages says where each table and index begins, counted from 1.
func rootPages(t *testing.T, path string) map[string]int {
	pages := map[string]int{}
	for _, row := range content(t, openBook(t, path), "SELECT name, rootpage FROM sqlite_schema") {
		pages[row[0].(string)] = int(row[1].(int64))
	}
	return pages
}

// wipe writes zeros over a page, as a card does that has lost a block.
func wipe(file []byte, page int) []byte {
	clear(file[(page-1)*pageSize : page*pageSize])
	return file
}

// leaf is the page of the n-th child of a table's root.
func leaf(file []byte, root, n int) int {
	page := file[(root-1)*pageSize:]
	cell := binary.BigEndian.Uint16(page[12+2*n:]) // after the 12 bytes that head an inner page
	return int(binary.BigEndian.Uint32(page[cell:]))
}

func TestDamagedBookIsSetAsideAndSaved(t *testing.T) {
	all := map[string]int{"battery": 1, "reading": 200, "note": 50, "session": 50}
	sound := filepath.Join(t.TempDir(), "sound.db")
	file := fullBook(t, sound)
	root := rootPages(t, sound)
	for name, c := range map[string]struct {
		harm  func(file []byte) []byte
		saved map[string]int // at least
		torn  []string
	}{
		"header overwritten": {
			func(f []byte) []byte { return append([]byte("no database at all"), f[18:]...) },
			nil, tables},
		"zeros throughout, as after a power cut": {
			func(f []byte) []byte { return make([]byte, len(f)) },
			nil, tables},
		"second half missing": {
			func(f []byte) []byte { return f[:len(f)/2] },
			map[string]int{"battery": 1, "reading": 50, "note": 50}, []string{"reading", "session"}},
		"an index wiped": {
			func(f []byte) []byte { return wipe(f, root["session_by_time"]) },
			all, nil},
		"a page of readings wiped": {
			func(f []byte) []byte { return wipe(f, leaf(f, root["reading"], 1)) },
			map[string]int{"battery": 1, "reading": 120, "note": 50, "session": 50}, []string{"reading"}},
		"one letter of a column's name": {
			func(f []byte) []byte { return bytes.Replace(f, []byte("charge_in_ah"), []byte("charge_iN_ax"), 1) },
			all, nil},
		"one letter of a rule": {
			func(f []byte) []byte { return bytes.Replace(f, []byte("json_valid"), []byte("jsoN_valiQ"), 1) },
			all, nil},
		"the sessions' first page wiped": {
			func(f []byte) []byte { return wipe(f, root["session"]) },
			map[string]int{"battery": 1, "reading": 200, "note": 50}, []string{"session"}},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "logbook.db")
			harmed := c.harm(bytes.Clone(file))
			require.NoError(t, os.WriteFile(path, harmed, 0o640))

			_, err := Open(t.Context(), path)
			_, isDamage := errors.AsType[*Damage](err)
			require.True(t, isDamage, "%v", err)

			book, damage, err := Recover(t.Context(), path)
			require.NoError(t, err)
			require.NotNil(t, damage)
			defer book.Close()
			assert.Equal(t, path+".damaged-1", damage.Aside)
			aside, err := os.ReadFile(damage.Aside)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(harmed, aside), "the damaged file must be kept as it was")
			assert.Equal(t, c.torn, damage.Torn, damage.Error())
			for table, atLeast := range c.saved {
				assert.GreaterOrEqual(t, damage.Saved[table], atLeast, table)
			}
			t.Log(damage)
			assertUsable(t, book, damage)
		})
	}
}

// assertUsable checks that what was saved is what was typed, and that life goes on.
func assertUsable(t *testing.T, book *Book, damage *Damage) {
	require.NoError(t, soundness(t.Context(), book.read, "PRAGMA integrity_check"))
	if damage.Saved["battery"] == 0 {
		require.NoError(t, book.AddBattery(t.Context(), mower()))
	}
	battery, err := book.Battery(t.Context(), "mower")
	require.NoError(t, err)
	assert.Equal(t, mower(), battery)
	readings, err := book.Readings(t.Context(), "mower")
	require.NoError(t, err)
	assert.Len(t, readings, damage.Saved["reading"])
	for _, r := range readings {
		assert.Equal(t, Text(fmt.Sprint("remark ", int(r.At.Sub(evening).Hours()))), r.Remark)
	}
	for n := range 50 { // as the recorder works them out again
		require.NoError(t, book.PutSession(t.Context(), charge(n)))
	}
	sessions, err := book.Sessions(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Len(t, sessions, 50)
	notes := 0
	for _, s := range sessions {
		notes += len(s.Notes)
	}
	assert.Equal(t, damage.Saved["note"], notes)
}

func TestRecoverLeavesASoundBookAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	fullBook(t, path)
	book, damage, err := Recover(t.Context(), path)
	require.NoError(t, err)
	assert.Nil(t, damage)
	require.NoError(t, book.Close())
	files, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, files, 1)
}

func TestSecondDamageKeepsTheFirst(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	for n := 1; n <= 2; n++ {
		junk := bytes.Repeat([]byte{byte(n)}, 3*pageSize)
		require.NoError(t, os.WriteFile(path, junk, 0o640))
		book, damage, err := Recover(t.Context(), path)
		require.NoError(t, err)
		require.NoError(t, book.Close())
		assert.Equal(t, fmt.Sprintf("%s.damaged-%d", path, n), damage.Aside)
		aside, err := os.ReadFile(damage.Aside)
		require.NoError(t, err)
		assert.Equal(t, junk, aside)
	}
}

// After a power cut the write-ahead log may end anywhere: the book must open
// with a front part of what was written, never with a half.
func TestLogCutAnywhereKeepsAFrontPart(t *testing.T) {
	folder := t.TempDir()
	book := openBook(t, filepath.Join(folder, "logbook.db"))
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	for n := range 10 {
		_, err := book.AddReading(t.Context(), Reading{Battery: "mower", At: evening.Add(time.Duration(n)), Volts: new(12.5)})
		require.NoError(t, err)
	}
	file, err := os.ReadFile(book.path)
	require.NoError(t, err)
	log, err := os.ReadFile(book.path + "-wal")
	require.NoError(t, err)

	path, before := filepath.Join(folder, "cut.db"), 0
	for cut := 0; cut <= len(log); cut += 5000 {
		require.NoError(t, os.WriteFile(path, file, 0o640))
		require.NoError(t, os.WriteFile(path+"-wal", log[:cut], 0o640))
		after, damage, err := Recover(t.Context(), path)
		require.NoError(t, err)
		require.Nil(t, damage)
		readings, err := allReadings(t.Context(), after.read)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, len(readings), before)
		before = len(readings)
		require.NoError(t, after.Close())
	}
	assert.GreaterOrEqual(t, before, 9)
}

// Random damage anywhere: whatever the check thinks of it, starting must work,
// and what it does not find must not be made worse.
func TestRandomDamageNeverStopsTheStart(t *testing.T) {
	folder := t.TempDir()
	file := fullBook(t, filepath.Join(folder, "sound.db"))
	random := rand.New(rand.NewPCG(5, 6))
	found := 0
	for n := range 12 {
		path := filepath.Join(folder, fmt.Sprint(n))
		require.NoError(t, os.WriteFile(path, scratch(random, bytes.Clone(file)), 0o640))
		book, damage, err := Recover(t.Context(), path)
		require.NoError(t, err, n)
		if damage != nil {
			found++
			require.NoError(t, soundness(t.Context(), book.read, "PRAGMA integrity_check"))
			require.NoError(t, book.PutSession(t.Context(), charge(1)))
			_, err := book.Sessions(t.Context(), Filter{})
			require.NoError(t, err)
			require.NoError(t, book.Export(t.Context(), io.Discard))
		}
		require.NoError(t, book.Close())
	}
	assert.Greater(t, found, 5)
}

// scratch overwrites a page, a block of 512 bytes, or some single bytes.
func scratch(random *rand.Rand, file []byte) []byte {
	size := []int{pageSize, 512, 1}[random.IntN(3)]
	for range []int{1, 3, 30}[random.IntN(3)] {
		at := random.IntN(len(file)/size) * size
		for i := range size {
			file[at+i] = byte(random.Uint32())
		}
	}
	return file
}
