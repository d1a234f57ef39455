//go:build linux

package e2e

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A log file keeps what is added while nobody reads, so nothing at all may be
// missing, or there twice, however often the program ends.
func TestFollowedFileThroughKillsAndStops(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	file := filepath.Join(t.TempDir(), "meter.csv")
	log, err := os.Create(file)
	require.NoError(t, err)
	defer log.Close()
	at.channel(t, "bench", "file: {path: "+file+"}")
	night := mower(30)
	chance := rand.New(rand.NewPCG(5, 5))
	next := 0
	write := func(lines int) {
		for _, line := range night.lines[next:min(next+lines, len(night.lines))] {
			_, err := log.WriteString(line + "\n")
			require.NoError(t, err)
			next++
		}
	}
	for round := 0; next < len(night.lines); round++ {
		p := serve(t, at.config)
		for range chance.IntN(40) {
			write(1 + chance.IntN(5))
			time.Sleep(pace)
		}
		if round%4 == 3 {
			p.stop()
		} else {
			p.kill()
		}
		write(chance.IntN(20))
	}
	p := serve(t, at.config)
	p.untilRead("bench", night.end)
	p.stop()
	p = serve(t, at.config)
	sessions := p.sessions()
	p.stop()
	require.Len(t, sessions, 1)
	assert.Equal(t, night.lines, whole(recorded(t, at.data, "bench")))
	requireSame(t, analysed(t, file)[0], sessions[0])
}
