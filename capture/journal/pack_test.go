package journal

import (
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"os/exec"
	"slices"
	"syscall"
	"testing"
	"testing/iotest"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// packedNight is a compressed segment of n lines, and its plain text.
func packedNight(t testing.TB, n int) (m *memFS, seg Segment, plain []byte) {
	t.Helper()
	m = newMemFS()
	record(t, m, 1, n+1)
	plain = slices.Clone(m.names[segmentFiles(t, m)[0].Path].data)
	j, err := Open(testDir, testOptions(m))
	require.NoError(t, err)
	require.NoError(t, j.Compress(context.Background()))
	require.NoError(t, j.Compress(context.Background()), "nothing left to do")
	closeJournal(t, j)
	segs := segmentFiles(t, m)
	require.Len(t, segs, 1)
	require.True(t, segs[0].Packed)
	return m, segs[0], plain
}

func TestACompressedSegmentReadsTheSame(t *testing.T) {
	m, seg, plain := packedNight(t, 5000)
	packed := m.names[seg.Path].data
	assert.Less(t, len(packed), len(plain)/4)
	recs, damage := readAll(t, m, 0)
	assert.Empty(t, damage)
	assert.Equal(t, span(1, 5000), numbers(recs))
	assertSound(t, recs)

	// Numbers go on behind it, in a segment of their own.
	record(t, m, 5001, 5003)
	recs, damage = readAll(t, m, 4990)
	assert.Empty(t, damage)
	assert.Equal(t, span(4990, 5002), numbers(recs))
}

// RFC 8878 lets any decoder pass over our marks; ask an independent one.
func TestTheUsualToolReadsACompressedSegment(t *testing.T) {
	tool := testhelp.Needed(t, "zstd", "zstd")
	m, seg, plain := packedNight(t, 5000)
	cmd := exec.Command(tool, "-dc")
	cmd.Stdin = bytes.NewReader(m.names[seg.Path].data)
	text, err := cmd.Output()
	require.NoError(t, err)
	assert.True(t, bytes.Equal(plain, text))
}

func TestDamageInACompressedSegmentCostsOneFrame(t *testing.T) {
	const lines = 3200 // three frames
	m, seg, _ := packedNight(t, lines)
	sound := slices.Clone(m.names[seg.Path].data)
	perFrame := uint64(packedText/70 + 1) // lines have some 80 bytes
	rng := rand.New(rand.NewPCG(5, 6))
	for range 40 {
		hurt := slices.Clone(sound)
		at := rng.IntN(len(hurt))
		hurt[at] ^= 1 << rng.IntN(8)
		m.names[seg.Path].data = hurt
		recs, damage := readAll(t, m, 0)
		assertSound(t, recs)
		require.NotEmpty(t, damage, "byte %d", at)
		require.ErrorIs(t, damage[0], ErrFrame)
		require.GreaterOrEqual(t, uint64(len(recs))+perFrame, uint64(lines), "byte %d", at)
	}
	for range 10 {
		size := rng.IntN(len(sound))
		m.names[seg.Path].data = slices.Clone(sound[:size])
		recs, _ := readAll(t, m, 0)
		assertSound(t, recs)
		require.Equal(t, span(1, uint64(len(recs))), numbers(recs))
	}
	for name, hurt := range map[string][]byte{
		"foreign bytes before": slices.Concat([]byte("hello"), sound),
		"foreign bytes after":  slices.Concat(sound, []byte("hello")),
		"zeros after":          slices.Concat(sound, make([]byte, 100_000)),
	} {
		m.names[seg.Path].data = hurt
		recs, damage := readAll(t, m, 0)
		require.Equal(t, span(1, lines), numbers(recs), name)
		require.Len(t, damage, 1, name)
		require.ErrorIs(t, damage[0], ErrFrame)
	}
}

func TestTheOriginalGoesOnlyWhenTheCopyReadsBack(t *testing.T) {
	for n := 1; n <= 6; n++ {
		m := newMemFS()
		record(t, m, 1, 3000)
		plain := segmentFiles(t, m)[0].Path
		j, err := Open(testDir, testOptions(m))
		require.NoError(t, err)
		m.failFrom(n, syscall.ENOSPC, true)
		err = j.Compress(context.Background())
		if m.reached() {
			assert.ErrorIs(t, err, syscall.ENOSPC)
			assert.NotNil(t, m.names[plain])
		} else {
			assert.NoError(t, err)
			assert.Nil(t, m.names[plain])
		}
		m.heal()
		recs, damage := readAll(t, m, 0)
		assert.Empty(t, damage)
		assert.Equal(t, span(1, 2999), numbers(recs))
		closeJournal(t, j)
	}
}

// A frame that says it is longer than it is must not take the next ones along.
func TestALengthThatIsHitCostsOneFrame(t *testing.T) {
	const lines = 4500 // four frames
	m, seg, _ := packedNight(t, lines)
	sound := slices.Clone(m.names[seg.Path].data)
	second := bytes.Index(sound[1:], markStart) + 1
	for _, length := range [][]byte{{0xff, 0xff, 0x0f, 0}, {0xff, 0xff, 0xff, 0xff}, {0, 0, 0, 0}, {0, 0, 1, 0}} {
		hurt := slices.Clone(sound)
		copy(hurt[second+len(markStart):], length)
		m.names[seg.Path].data = hurt
		recs, damage := readAll(t, m, 0)
		assertSound(t, recs)
		require.Len(t, damage, 1)
		require.ErrorIs(t, damage[0], ErrFrame)
		assert.EqualValues(t, lines, uint64(len(recs))+damage[0].Lost)
		assert.Less(t, damage[0].Lost, uint64(2000))
		assert.EqualValues(t, lines, recs[len(recs)-1].Seq)
	}
}

// A disk that gives back other bytes than were written.
func TestACopyThatReadsBackDifferentlyIsRemoved(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 3000)
	plain := segmentFiles(t, m)[0].Path
	j, err := Open(testDir, testOptions(m))
	require.NoError(t, err)
	m.opening = func(path string) error {
		if path == packedPath(plain) {
			m.names[path].data[5000] ^= 1
		}
		return nil
	}
	assert.ErrorIs(t, j.Compress(context.Background()), errUnlike)
	assert.NotNil(t, m.names[plain])
	assert.Nil(t, m.names[packedPath(plain)])
	closeJournal(t, j)
}

func TestTheSegmentBeingWrittenIsNotCompressed(t *testing.T) {
	m := newMemFS()
	j, c := openJournal(t, testOptions(m))
	c.Append(lineFrame(1))
	require.NoError(t, c.Sync(context.Background()))
	require.NoError(t, j.Compress(context.Background()))
	assert.False(t, segmentFiles(t, m)[0].Packed)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	assert.ErrorIs(t, j.Compress(ctx), context.Canceled)
	closeJournal(t, j)
}

// Compression may run between the listing and the reading.
func TestASegmentCompressedSinceItWasListed(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 11)
	r, err := newReader(m, testDir, testName, 0)
	require.NoError(t, err)
	j, err := Open(testDir, testOptions(m))
	require.NoError(t, err)
	require.NoError(t, j.Compress(context.Background()))
	r.OnDamage = func(d *Damage) { t.Error(d) }
	n := 0
	for r.Next() {
		n++
	}
	assert.Equal(t, 10, n)
	closeJournal(t, j)
}

func TestPackingTextWithoutLineEnds(t *testing.T) {
	text := bytes.Repeat([]byte("x"), 3*packedText+5)
	var packed memFile
	m := newMemFS()
	require.NoError(t, pack(io.NewOffsetWriter(&memHandle{fs: m, file: &packed}, 0), bytes.NewReader(text)))
	u := newUnpacker(&memHandle{fs: m, file: &packed})
	got, err := io.ReadAll(u)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(text, got))
	require.NoError(t, u.Close())
	assert.Error(t, pack(io.Discard, io.MultiReader(bytes.NewReader(text), iotest.ErrReader(syscall.EIO))))
}

// A stop in the middle of a large segment does not wait until all of it is packed and compared:
// a small computer would need longer than a stop may take. Nothing is left half done.
func TestAStopEndsTheCompression(t *testing.T) {
	for looks := range 3 {
		m := newMemFS()
		record(t, m, 1, 5001)
		plain := segmentFiles(t, m)[0].Path
		j, err := Open(testDir, testOptions(m))
		require.NoError(t, err)
		ctx, stop := context.WithCancel(t.Context())
		opened := 0
		m.opening = func(string) error {
			if opened++; opened > looks {
				stop() // while it packs; while it compares, the one and the other
			}
			return nil
		}
		assert.ErrorIs(t, j.Compress(ctx), context.Canceled)
		m.opening = nil
		segs := segmentFiles(t, m)
		require.Len(t, segs, 1)
		assert.Equal(t, plain, segs[0].Path)
		names, err := m.ReadDir(channelDir(testDir, testName))
		require.NoError(t, err)
		assert.Len(t, names, 1)
		closeJournal(t, j)
		stop()
	}
}
