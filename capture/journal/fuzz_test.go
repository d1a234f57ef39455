package journal

import (
	"bytes"
	"io"
	"testing"
	"testing/iotest"

	"amphora/capture"

	"github.com/stretchr/testify/require"
)

// Any bytes as a segment: no panic, numbers rise, and every record that is
// accepted is one that the journal would write.
func FuzzReader(f *testing.F) {
	path, data, starts := sound(f)
	f.Add(data)
	f.Add(data[starts[3]:])
	f.Add(data[:len(data)-9])
	f.Add(bytes.Repeat([]byte("00000000 1"), 400))
	f.Add([]byte("\n\n\x00"))
	f.Fuzz(func(t *testing.T, b []byte) { anySegment(t, path, b) })
}

func anySegment(t testing.TB, path string, b []byte) {
	m := newMemFS()
	m.put(path, b)
	recs, _ := readAll(t, m, 0)
	var last uint64
	var p parser
	for _, rec := range recs {
		require.Greater(t, rec.Seq, last)
		last = rec.Seq
		line := appendRecord(nil, rec.Seq, &rec.Frame)
		var again Record
		require.True(t, p.parse(line[:len(line)-1], &again))
		require.Equal(t, rec.Seq, again.Seq)
		require.True(t, bytes.Equal(rec.Text, again.Text))
	}
	j := &Journal{dir: testDir, opt: testOptions(m)}
	next, err := j.recoverChannel(testName) // repairs whatever it was
	require.NoError(t, err)
	require.Greater(t, next, last)
}

// Any bytes as a compressed segment: no panic, and no end that does not come.
func FuzzUnpacker(f *testing.F) {
	m, seg, _ := packedNight(f, 20)
	f.Add(m.names[seg.Path].data)
	f.Add(markStart)
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		m.names[seg.Path].data = b
		_, _ = readAll(t, m, 0)
	})
}

// Any frame comes back as it was.
func FuzzRecord(f *testing.F) {
	f.Add([]byte("V=13.82"), uint8(0), int64(1), int64(2))
	f.Add([]byte("\\\x00\xff\n"), uint8(255), int64(-1), int64(-2))
	f.Fuzz(func(t *testing.T, text []byte, flags uint8, boot, unix int64) {
		text = text[:min(len(text), maxText)]
		frame := lineFrame(0)
		frame.Text, frame.Flags = text, capture.Flags(flags)
		line := appendRecord(nil, 1, &frame)
		require.Equal(t, len(line)-1, bytes.IndexByte(line, '\n'))
		var p parser
		var rec Record
		require.True(t, p.parse(line[:len(line)-1], &rec))
		require.True(t, bytes.Equal(text, rec.Text))
		require.Equal(t, flags, uint8(rec.Flags))
	})
}

// How the disk cuts its answers changes nothing.
func TestLinesDoNotDependOnHowTheyAreRead(t *testing.T) {
	_, data, _ := sound(t)
	data = append(data, bytes.Repeat([]byte("y"), 3*maxLine)...)
	read := func(src io.Reader) (lines []string) {
		var l lineReader
		l.reset(src)
		for {
			line, err := l.next()
			if err == io.EOF {
				return lines
			}
			require.NoError(t, err)
			lines = append(lines, string(line))
		}
	}
	want := read(bytes.NewReader(data))
	require.Greater(t, len(want), 12)
	require.Equal(t, want[:11], read(iotest.OneByteReader(bytes.NewReader(data)))[:11])
	require.Equal(t, want[:11], read(iotest.HalfReader(bytes.NewReader(data)))[:11])
	require.Equal(t, want[:11], read(iotest.DataErrReader(bytes.NewReader(data)))[:11])
	var l lineReader
	l.reset(iotest.TimeoutReader(iotest.HalfReader(bytes.NewReader(data))))
	var err error
	for err == nil {
		_, err = l.next()
	}
	require.ErrorIs(t, err, iotest.ErrTimeout)
}
