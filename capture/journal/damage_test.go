package journal

import (
	"bytes"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sound is a segment of ten records, and where each of its lines begins; line 0
// is the header, line i is record i.
func sound(t testing.TB) (path string, data []byte, starts []int) {
	m := newMemFS()
	record(t, m, 1, 11)
	path = segmentFiles(t, m)[0].Path
	data = m.names[path].data
	at := 0
	for _, line := range bytes.SplitAfter(data, []byte("\n")) {
		starts = append(starts, at)
		at += len(line)
	}
	require.Len(t, starts, 12)
	return path, data, starts
}

// The harms that a segment may meet, with the records that must survive, before
// and after the channel is opened for writing again.
func TestHarms(t *testing.T) {
	path, data, starts := sound(t)
	at := func(line int) int { return starts[line] }
	flip := func(i int) func([]byte) []byte {
		return func(b []byte) []byte { b[i] ^= 0x10; return b }
	}
	put := func(i int, more string) func([]byte) []byte {
		return func(b []byte) []byte { return slices.Insert(b, i, []byte(more)...) }
	}
	without := func(nums ...uint64) []uint64 {
		return slices.DeleteFunc(span(1, 10), func(n uint64) bool { return slices.Contains(nums, n) })
	}
	for _, harm := range []struct {
		name string
		do   func([]byte) []byte
		want []uint64
		lost uint64 // as far as numbers tell
	}{
		{"nothing", func(b []byte) []byte { return b }, span(1, 10), 0},
		{"last record cut in half", func(b []byte) []byte { return b[:len(b)-20] }, span(1, 9), 0},
		{"last line end missing", func(b []byte) []byte { return b[:len(b)-1] }, span(1, 9), 0},
		{"cut inside the header", func(b []byte) []byte { return b[:20] }, span(1, 0), 0},
		{"empty file", func(b []byte) []byte { return nil }, span(1, 0), 0},
		{"zeros after the end, as after a power cut", func(b []byte) []byte { return append(b, make([]byte, 4096)...) }, span(1, 10), 0},
		{"a megabyte of zeros after the end", func(b []byte) []byte { return append(b, make([]byte, 1<<20)...) }, span(1, 10), 0},
		{"all zeros", func(b []byte) []byte { clear(b); return b }, span(1, 0), 0},
		{"one bit flipped in the header", flip(30), span(1, 10), 0},
		{"one bit flipped in record 1", flip(at(1) + 30), without(1), 1},
		{"one bit flipped in the checksum of record 4", flip(at(4) + 3), without(4), 1},
		{"one bit flipped in the number of record 4", flip(at(4) + 9), without(4), 1},
		{"the line end between records 4 and 5 flipped", flip(at(5) - 1), without(4), 1},
		{"a line end in the middle of record 4", func(b []byte) []byte { b[at(4)+30] = '\n'; return b }, without(4), 1},
		{"half of record 4 with record 5 glued on", func(b []byte) []byte { return slices.Delete(b, at(4)+30, at(5)) }, without(4), 1},
		{"records 4 to 6 zeroed", func(b []byte) []byte { clear(b[at(4):at(7)]); return b }, without(4, 5, 6), 3},
		{"records 4 to 6 cut out", func(b []byte) []byte { return slices.Delete(b, at(4), at(7)) }, without(4, 5, 6), 3},
		{"record 4 twice", func(b []byte) []byte { return slices.Insert(b, at(5), b[at(4):at(5)]...) }, span(1, 10), 0},
		{"records 4 and 5 swapped", func(b []byte) []byte {
			return slices.Concat(b[:at(4)], b[at(5):at(6)], b[at(4):at(5)], b[at(6):])
		}, without(4), 1},
		{"foreign text between records", put(at(4), "V=1 A=2\nhello\n"), span(1, 10), 0},
		{"foreign bytes without a line end", put(at(4), "\xff\x00\xfe"), span(1, 10), 0},
		{"300 kB of foreign bytes", put(at(4), string(bytes.Repeat([]byte("~"), 300_000))), span(1, 10), 0},
		{"empty lines", put(at(4), "\n\n\n"), span(1, 10), 0},
		{"header missing", func(b []byte) []byte { return b[at(1):] }, span(1, 10), 0},
		{"a second header", func(b []byte) []byte { return slices.Insert(b, at(4), b[:at(1)]...) }, span(1, 10), 0},
	} {
		t.Run(harm.name, func(t *testing.T) {
			m := newMemFS()
			hurt := harm.do(slices.Clone(data))
			m.put(path, hurt)
			recs, damage := readAll(t, m, 0)
			assert.Equal(t, harm.want, numbers(recs))
			assertSound(t, recs)
			assert.Equal(t, harm.lost, lostIn(damage))
			for _, d := range damage {
				assert.Equal(t, path, d.File)
				assert.Contains(t, d.Error(), "byte ")
			}

			// Damage, repair, write on, read all.
			record(t, m, 100, 103)
			recs, _ = readAll(t, m, 0)
			require.Len(t, recs, len(harm.want)+3)
			assert.Equal(t, harm.want, numbers(recs[:len(harm.want)]))
			for i, rec := range recs[len(harm.want):] {
				assert.Equal(t, lineFrame(100+i), rec.Frame)
			}
			assertNothingDeleted(t, m, path, hurt)
		})
	}
}

// assertSound checks that every record is as it was written.
func assertSound(t testing.TB, recs []Record) {
	t.Helper()
	for _, rec := range recs {
		want := lineFrame(int(rec.Seq))
		same := want.Wall.Equal(rec.Wall) && want.Boot == rec.Boot && want.Flags == rec.Flags && bytes.Equal(want.Text, rec.Text)
		if !same { // require.Equal alone is slow for a million records
			require.Equal(t, want, rec.Frame)
		}
	}
}

func lostIn(damage []*Damage) (n uint64) {
	for _, d := range damage {
		n += d.Lost
	}
	return n
}

// assertNothingDeleted checks that a segment and the tail set aside from it
// still hold all the bytes.
func assertNothingDeleted(t testing.TB, m *memFS, path string, want []byte) {
	t.Helper()
	names, err := m.ReadDir(channelDir(testDir, testName))
	require.NoError(t, err)
	got := slices.Clone(m.names[path].data)
	for _, name := range names {
		if p := channelDir(testDir, testName) + "/" + name; len(p) > len(path) && p[:len(path)+len(tornMiddle)] == path+tornMiddle {
			got = append(got, m.names[p].data...)
		}
	}
	assert.True(t, bytes.Equal(want, got))
}

func TestATailCutAtEveryByteOfTheLastTwoRecords(t *testing.T) {
	path, data, starts := sound(t)
	for size := starts[9]; size <= len(data); size++ {
		m := newMemFS()
		m.put(path, slices.Clone(data[:size]))
		whole := uint64(8)
		if size >= starts[10] {
			whole = 9
		}
		torn := int64(size - starts[whole+1])
		if size == len(data) {
			whole, torn = 10, 0
		}
		opt, w := loudOptions(m)
		j, c := openJournal(t, opt)
		c.Append(lineFrame(11))
		closeJournal(t, j)
		recs, _ := readAll(t, m, 0)
		require.Equal(t, span(1, whole), numbers(recs[:len(recs)-1]), "cut at %d", size)
		require.Equal(t, lineFrame(11), recs[len(recs)-1].Frame)
		warned := 0
		if torn > 0 {
			warned = 1
		}
		require.Equal(t, warned, w.Count("set aside"), "cut at %d", size)
		require.Equal(t, warned, w.Count(" bytes="), "cut at %d", size)
		assertNothingDeleted(t, m, path, data[:size])

		// Opening once more finds nothing to repair.
		record(t, m, 12, 13)
		require.Equal(t, warned, w.Count(""))
	}
}

// Cut anywhere in the last 64 KiB: exactly the whole records before the cut are
// there. AMPHORA_LONG=1 tries every byte.
func TestATailCutAnywhere(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 1001)
	path := segmentFiles(t, m)[0].Path
	data := slices.Clone(m.names[path].data)
	step := 211
	if os.Getenv("AMPHORA_LONG") != "" {
		step = 1
	}
	require.Greater(t, len(data), 64<<10)
	for size := len(data); size > len(data)-64<<10; size -= step {
		m.put(path, data[:size])
		r, err := newReader(m, testDir, testName, 0)
		require.NoError(t, err)
		r.OnDamage = func(d *Damage) { t.Errorf("cut at %d: %v", size, d) }
		n := 0
		for r.Next() {
			n++
		}
		whole := bytes.Count(data[:size], []byte("\n")) - 1 // the header
		require.Equal(t, whole, n, "cut at %d", size)
		end := bytes.LastIndexByte(data[:size], '\n') + 1
		require.EqualValues(t, size-end, r.Unfinished())
	}
}

func TestRandomBitFlipsLoseAtMostOneRecordEach(t *testing.T) {
	path, data, starts := sound(t)
	rng := rand.New(rand.NewPCG(1, 2))
	for range 10_000 {
		bit := rng.IntN(8 * len(data))
		hurt := slices.Clone(data)
		hurt[bit/8] ^= 1 << (bit % 8)
		m := newMemFS()
		m.put(path, hurt)
		recs, damage := readAll(t, m, 0)
		require.GreaterOrEqual(t, len(recs), 9, "bit %d", bit)
		assertSound(t, recs)
		if len(recs) == 10 {
			continue // the header was hit
		}
		if bit/8 >= starts[10] {
			continue // the last record: no later number tells of it
		}
		require.NotEmpty(t, damage)
		require.EqualValues(t, 1, lostIn(damage), "bit %d", bit)
	}
}

func TestAMissingSegmentIsNamed(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 11)
	record(t, m, 11, 21)
	record(t, m, 21, 31)
	segs := segmentFiles(t, m)
	require.NoError(t, m.Remove(segs[1].Path))
	recs, damage := readAll(t, m, 0)
	assert.Equal(t, append(span(1, 10), span(21, 30)...), numbers(recs))
	require.Len(t, damage, 1)
	assert.ErrorIs(t, damage[0], ErrMissing)
	assert.EqualValues(t, 11, damage[0].First)
	assert.EqualValues(t, 10, damage[0].Lost)
	assert.Equal(t, segs[0].Path, damage[0].File)
}

func TestASegmentThatVanishesWhileReadingIsNamed(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 11)
	record(t, m, 11, 21)
	r, err := newReader(m, testDir, testName, 0)
	require.NoError(t, err)
	var damage []*Damage
	r.OnDamage = func(d *Damage) { damage = append(damage, d) }
	require.NoError(t, m.Remove(segmentFiles(t, m)[0].Path))
	assert.True(t, r.Next())
	assert.EqualValues(t, 11, r.Record().Seq)
	require.Len(t, damage, 1)
	assert.ErrorIs(t, damage[0], ErrRead)
	assert.EqualValues(t, 10, damage[0].Lost)
	require.NoError(t, r.Close())
	assert.False(t, r.Next())
}

func TestAnotherVersionIsRefused(t *testing.T) {
	path, data, starts := sound(t)
	m := newMemFS()
	line := appendHeader(nil, header{version: 2, first: 1, bootID: "b", channel: testName})
	m.put(path, append(line, data[starts[1]:]...))
	r, err := newReader(m, testDir, testName, 0)
	require.NoError(t, err)
	assert.False(t, r.Next())
	assert.ErrorIs(t, r.Err(), ErrVersion)
}

func TestDamageBeforeTheStartIsNoNews(t *testing.T) {
	path, data, starts := sound(t)
	m := newMemFS()
	hurt := slices.Clone(data)
	hurt[starts[4]+40] ^= 1
	m.put(path, hurt)
	for from, want := range map[uint64]int{0: 1, 3: 1, 4: 1, 5: 0, 6: 0} {
		_, damage := readAll(t, m, from)
		assert.Len(t, damage, want, "from %d", from)
	}
}
