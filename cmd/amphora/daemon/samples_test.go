package daemon

import (
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze/logbook"
	"amphora/capture"

	"github.com/stretchr/testify/require"
)

// BenchmarkSamples reads the rows of a charge of 100,000 from the journal: what the
// first look at its curve costs.
func BenchmarkSamples(b *testing.B) {
	n := night(b, "mower-float")
	n.Meter.Every, n.Charger.FloatFor = 1, 75*3600
	file := filepath.Join(b.TempDir(), "night.log")
	require.NoError(b, os.WriteFile(file, n.Log(), 0o600))
	d, stop := started(b, b.TempDir(), follow(b, capture.File{Path: file}))
	untilRead(b, d, n)
	sessions, err := d.Book().Sessions(b.Context(), logbook.Filter{})
	require.NoError(b, err)
	require.NotEmpty(b, sessions)
	b.ReportAllocs()
	rows := 0
	for b.Loop() {
		points, err := d.Samples(b.Context(), sessions[0].Summary.ID)
		require.NoError(b, err)
		rows = len(points)
	}
	b.ReportMetric(float64(rows), "rows")
	stop()
}
