//go:build unix

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"amphora/dashboards/push"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whoever keeps the lines and begins again in mid-charge sees its curve from where it began,
// by the same time as its stages.
func TestWatchGoesOnWithTheCurveThatWasKept(t *testing.T) {
	text, err := os.ReadFile(nightFile(t))
	require.NoError(t, err)
	lines := bytes.SplitAfter(text, []byte("\n"))
	dir, half := t.TempDir(), len(lines)/3
	for name, part := range map[string][][]byte{"a.txt": lines[:half], "b.txt": lines[half:]} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), bytes.Join(part, nil), 0o600))
	}
	w := watch{decoder: "auto", data: filepath.Join(dir, "data"), plain: true}
	open := func(name string) watched {
		from, err := w.openLocal(t.Context(), streams{}, filepath.Join(dir, name))
		require.NoError(t, err)
		return from
	}
	from := open("a.txt")
	require.NoError(t, from.run(t.Context()))
	before := from.points(mostPoints)
	require.NotEmpty(t, before)
	require.NoError(t, from.close())

	from = open("b.txt")
	defer func() { require.NoError(t, from.close()) }()
	again := from.points(mostPoints)
	require.NotEmpty(t, again)
	assert.Equal(t, before[0].At, again[0].At)
	assert.Equal(t, before[len(before)-1].At, again[len(again)-1].At)
	require.NoError(t, from.run(t.Context()))
	c, ok := from.now()
	require.True(t, ok)
	all := from.points(mostPoints)
	assert.InDelta(t, float64(c.LastReading.AtS), all[len(all)-1].At, 1)
}

// Lines that were told with the wrong decoder are told once more with the right one.
func TestTheCurveBeginsAnewWithWhatIsToldAnew(t *testing.T) {
	var c trace
	tell := func(amps float64, seqs ...uint64) {
		for _, seq := range seqs {
			at := time.Unix(0, 0).Add(time.Duration(seq) * time.Minute)
			c.Take(push.Record{Seq: seq, Samples: []push.Sample{{At: at, Volts: 12.6, Amps: amps}}})
		}
	}
	tell(-3, 1, 2, 3)
	tell(3, 1, 2, 3, 4)
	var amps []float64
	for _, p := range c.points(mostPoints) {
		amps = append(amps, p.Amps)
	}
	assert.Equal(t, []float64{3, 3, 3, 3}, amps)
}
