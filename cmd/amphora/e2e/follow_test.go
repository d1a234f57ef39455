//go:build linux

package e2e

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

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

// Somebody empties the log, or rotates it and keeps nothing, and the program is killed soon
// after that: no copy is left in which the place of before could be found.
func TestFollowedFileThatIsEmptiedBeforeAKill(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	file := filepath.Join(t.TempDir(), "meter.csv")
	at.channel(t, "bench", "file: {path: "+file+"}")
	night := mower(30)
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	next := 0
	write := func(lines int) {
		log, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
		require.NoError(t, err)
		defer log.Close()
		for _, line := range night.lines[next : next+lines] {
			_, err := log.WriteString(line + "\n")
			require.NoError(t, err)
		}
		next += lines
	}
	p := serve(t, at.config)
	heard := func() {
		t.Helper()
		testhelp.Until(t, "what was written", func() bool { return len(whole(recorded(t, at.data, "bench"))) >= next })
	}
	for k := range 4 {
		write(100)
		heard()
		if k%2 == 0 {
			require.NoError(t, os.Truncate(file, 0))
		} else {
			require.NoError(t, os.Remove(file))
		}
		write(50)
		heard()
		begun := time.Now()
		testhelp.Until(t, "the place to be noted", func() bool {
			text, err := os.ReadFile(filepath.Join(at.data, "state", "bench.file.json"))
			info, gone := os.Stat(file)
			return err == nil && gone == nil && strings.Contains(string(text), fmt.Sprintf(`"offset":%d,`, info.Size()))
		})
		assert.Less(t, time.Since(begun), 7*time.Second, "and not with the next note, ten seconds after the last")
		write(7)
		heard()
		p.kill()
		write(5)
		p = serve(t, at.config)
	}
	write(20)
	heard()
	p.stop()
	assert.Equal(t, night.lines[:next], whole(recorded(t, at.data, "bench")))
}
