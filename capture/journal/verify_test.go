package journal

import (
	"bytes"
	"strings"
	"testing"

	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestVerifyReportsEachSegment(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 11)
	record(t, m, 11, 21)
	record(t, m, 21, 31)
	segs := segmentFiles(t, m)
	m.names[segs[1].Path].data[300] ^= 1
	last := m.names[segs[2].Path]
	last.data = last.data[:len(last.data)-1]

	reports, err := verify(m, testDir)
	require.NoError(t, err)
	require.Len(t, reports, 3)
	for i, want := range []struct {
		records, lost uint64
		unfinished    bool
	}{{10, 0, false}, {9, 1, false}, {9, 0, true}} {
		rep := reports[i]
		assert.Equal(t, segs[i], rep.Segment)
		assert.EqualValues(t, len(m.names[rep.Path].data), rep.Bytes)
		assert.Equal(t, want.records, rep.Records)
		assert.Equal(t, want.lost, lostIn(rep.Damage))
		assert.Equal(t, want.unfinished, rep.Unfinished > 0)
	}
}

func exported(t *testing.T, m *memFS, export func(*bytes.Buffer, *Reader) error) string {
	t.Helper()
	r, err := newReader(m, testDir, testName, 0)
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, export(&out, r))
	return out.String()
}

func TestS9Export(t *testing.T) {
	m := newMemFS()
	j, c := openJournal(t, testOptions(m))
	for _, f := range []capture.Frame{
		{Flags: capture.Opened, Text: []byte("bench")},
		{Text: []byte("V=13.82,A=4\x00")},
		{Flags: capture.Burst, Text: []byte("-0.25")},
		{Text: []byte("=1+1")},
		{Text: []byte(`say "no"`)},
		{Flags: capture.Marked, Text: []byte("decoder columns")},
	} {
		f.Wall, f.Boot = evening, 1500000000
		c.Append(f)
	}
	closeJournal(t, j)
	lines := exported(t, m, func(w *bytes.Buffer, r *Reader) error { return ExportLines(w, r) })
	assert.Equal(t, "V=13.82,A=4\x00\n-0.25\n=1+1\nsay \"no\"\n", lines)

	rows := exported(t, m, func(w *bytes.Buffer, r *Reader) error { return ExportCSV(w, r) })
	const stamp = "2026-11-25T20:00:00.000000000Z,1.500000000"
	assert.Equal(t, strings.Join([]string{
		"record,wall,boot_s,flags,text",
		"1," + stamp + ",opened,bench",
		`2,` + stamp + `,-,"V=13.82,A=4\x00"`,
		"3," + stamp + ",burst,-0.25",
		"4," + stamp + ",-,'=1+1",
		`5,` + stamp + `,-,"say ""no"""`,
		"6," + stamp + ",marked,decoder columns",
		"",
	}, "\n"), rows)
}

func TestExportToAFullDisk(t *testing.T) {
	m := newMemFS()
	record(t, m, 1, 3)
	for _, export := range []func(*Reader) error{
		func(r *Reader) error { return ExportLines(full{}, r) },
		func(r *Reader) error { return ExportCSV(full{}, r) },
	} {
		r, err := newReader(m, testDir, testName, 0)
		require.NoError(t, err)
		assert.ErrorContains(t, export(r), "export the journal")
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, assert.AnError }
