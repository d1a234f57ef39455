package logbook

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A charge that goes on is written every ten seconds, among those of years: an hour of it must
// not cost a card the 8 MiB that an hour of recording may.
func TestHourOfAChargeSparesTheCard(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	book := openBook(t, path)
	for n := range 500 {
		require.NoError(t, book.PutSession(t.Context(), charge(n)))
	}
	running := charge(500)
	running.Summary.Outcome, running.Settled = analyze.Running, false
	for n := range 6 { // as many findings as a long night has
		running.Summary.Findings = append(running.Summary.Findings, analyze.Finding{Code: fmt.Sprint("code-", n), Message: strings.Repeat("and so on ", 30)})
	}
	require.NoError(t, book.PutSession(t.Context(), running))
	_, err := book.write.ExecContext(t.Context(), "PRAGMA wal_checkpoint(TRUNCATE)")
	require.NoError(t, err)
	const often = 100
	for n := range often {
		running.Summary.ChargeInAh = analyze.Number(5 + 0.01*float64(n))
		running.Summary.EndS += 10
		require.NoError(t, book.PutSession(t.Context(), running))
	}
	wal, err := os.Stat(path + "-wal")
	require.NoError(t, err)
	assert.Less(t, wal.Size()*360/often, int64(7<<20), "bytes in an hour")
}
