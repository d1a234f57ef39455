//go:build linux

package e2e

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// playable is a made-up night as lines to say.
type playable struct {
	madeup.Night
	lines []string
	end   float64 // time of the last row, s
}

// mower is a night of about 15 h 20 min with a row every so many whole seconds: charged,
// held at float until noon, then a rest. Its charger starts softly, so that no
// single row decides about the ampere-hours. Each row carries the meter's own time.
func mower(every float64) playable {
	n := madeup.Named("mower-float")
	n.Layout = madeup.Commas
	n.Charger.SoftStart = 600
	n.Meter.Every = every
	return play(n)
}

func play(n madeup.Night) playable {
	p := playable{Night: n}
	for at, line := range n.Lines() {
		p.lines = append(p.lines, line)
		p.end = at
	}
	return p
}

// file writes the lines into a log.
func (p *playable) file(t testing.TB) string { return logOf(t, p.lines) }

func logOf(t testing.TB, lines []string) string {
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, []byte(strings.Join(lines, "\n")+"\n"), 0o600))
	return file
}

// recorded is what the journal holds of a channel.
func recorded(t testing.TB, data, channel string) []record {
	t.Helper()
	r, err := journal.NewReader(data, channel, 1)
	require.NoError(t, err)
	defer r.Close()
	var all []record
	for r.Next() {
		rec := r.Record()
		all = append(all, record{rec.Seq, rec.Flags, string(rec.Text), rec.Boot})
	}
	require.NoError(t, r.Err())
	return all
}

type record struct {
	seq   uint64
	flags capture.Flags
	text  string
	boot  time.Duration // since the start of this machine
}

// whole are the lines of a journal that came in one piece.
func whole(records []record) (lines []string) {
	for _, r := range records {
		if r.flags&(capture.NotLine|capture.Fragment) == 0 {
			lines = append(lines, r.text)
		}
	}
	return lines
}

// row is a line of the made-up night, taken apart without the program's help.
type row struct{ at, amps float64 }

func rowsOf(t testing.TB, lines []string) (rows []row) {
	t.Helper()
	for _, line := range lines {
		columns := strings.Split(line, ",")
		at, err := strconv.ParseFloat(columns[0], 64)
		if err != nil {
			continue // a heading
		}
		amps, err := strconv.ParseFloat(columns[2], 64)
		require.NoError(t, err, line)
		rows = append(rows, row{at, amps})
	}
	return rows
}

// ampHours is the charge of rows, and how long the gaps among them were, s.
func ampHours(rows []row) (in, gaps float64) {
	return testhelp.AmpHours(len(rows), func(k int) (at, amps float64) { return rows[k].at, rows[k].amps })
}
