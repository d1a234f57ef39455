//go:build linux

package e2e

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// days is a log with a row each ten seconds and a charge a day, invented: five hours of
// constant current, a taper, a float that ends, and a rest.
func days(t *testing.T, many int) (file string, rows int) {
	t.Helper()
	file = filepath.Join(t.TempDir(), "year.csv")
	f, err := os.Create(file)
	require.NoError(t, err)
	defer f.Close()
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, "time_s,voltage_V,current_A")
	for rows = range many * 8640 {
		volts, amps := 12.2, 0.0
		switch hour := float64(rows%8640) / 360; {
		case hour >= 10:
			volts = 12.9 + 0.2*math.Exp(10-hour)
		case hour >= 9:
			volts, amps = 13.2, 0
		case hour >= 6:
			volts, amps = 14.4, 3*math.Exp(6-hour)
		case hour >= 1:
			volts, amps = 12.6+0.36*(hour-1), 3
		}
		fmt.Fprintf(w, "%d,%.3f,%.3f\n", 10*rows, volts+0.001*float64(rows*7919%2), amps+0.001*float64(rows*104729%3%2))
	}
	require.NoError(t, w.Flush())
	return file, rows + 1
}

// With a year in its folder the program is ready as soon as with nothing, and tells it all
// again from the raw record.
func TestStartWithAYear(t *testing.T) {
	t.Parallel()
	many := 10
	if long {
		many = 365
	}
	file, rows := days(t, many)
	at := newPlace(t)
	at.channel(t, "bench", "file: {path: "+file+"}")
	p := serve(t, at.config)
	for limit := time.Now().Add(10 * time.Minute); p.view("bench").Rows < rows && time.Now().Before(limit); {
		time.Sleep(100 * time.Millisecond)
	}
	require.GreaterOrEqual(t, p.view("bench").Rows, rows)
	p.stop()

	began := time.Now()
	p = serve(t, at.config)
	ready := time.Since(began)
	assert.Len(t, p.sessions(), min(many, 100))
	p.stop()
	began = time.Now()
	status, _, said := amphora(t, "journal", "replay", "--json", at.data)
	took := time.Since(began)
	require.Zero(t, status, said)
	rate := float64(rows) / took.Seconds()
	promised(t, fmt.Sprintf("ready with %d rows", rows), ready, 3*time.Second)
	t.Logf("told again at %.0f rows a second", rate)
	if long && !raced {
		assert.Greater(t, rate, 100_000.0)
	}
}
