//go:build linux

package e2e

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a charge at a line a second costs a memory card, of all that the program writes: as it is
// set up, and with the setting that spares the card, which following a log must not spoil.
func TestCardOfAWholeProgram(t *testing.T) {
	if !long {
		t.Skip("measures for ten minutes; set AMPHORA_LONG=1")
	}
	testhelp.Needed(t, "strace", "strace")
	const from, lasts = 90 * time.Second, 10 * time.Minute // the beginning of a charge is an event
	perHour := func(n int64) int64 { return n * int64(time.Hour) / int64(lasts) }
	for _, c := range []struct {
		name, settings string
		followed       bool
		syncs, bytes   int64 // in an hour
	}{
		{"as it is set up", "", false, 3700, 8 << 20},
		{"spared", "journal: {sync: 60s}\n", false, 120, 8 << 20},
		{"spared and a log", "journal: {sync: 60s}\n", true, 120, 8 << 20},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			at, port := newPlace(t), newPort(t)
			at.settings = c.settings
			log := filepath.Join(t.TempDir(), "night.log")
			file, err := os.Create(log)
			require.NoError(t, err)
			defer file.Close()
			source, say := port.source(), func(line string) { port.say(line) }
			if c.followed {
				source, say = "file: {path: "+log+"}", func(line string) { fmt.Fprintln(file, line) }
			}
			at.channel(t, "bench", source)
			calls := filepath.Join(t.TempDir(), "calls")
			p := launch(t, exec.Command("strace", "-D", "-f", "-qq", "-o", calls, "-e", "signal=none", "-e", "trace=fsync,fdatasync", binary, "serve", "--config", at.config))
			p.waitForPage()
			written := func() (n int64) {
				text, err := os.ReadFile(fmt.Sprintf("/proc/%d/io", p.cmd.Process.Pid))
				require.NoError(t, err)
				_, after, _ := strings.Cut(string(text), "wchar: ")
				_, err = fmt.Sscan(after, &n)
				require.NoError(t, err)
				return n
			}
			synced := func() int64 {
				text, err := os.ReadFile(calls)
				require.NoError(t, err)
				return int64(strings.Count(string(text), "sync("))
			}
			night, began := mower(2), time.Now()
			lines := night.lines[len(night.lines)/20:]
			next := 0
			until := func(d time.Duration) {
				for ; time.Since(began) < d; next++ {
					say(lines[next])
					time.Sleep(time.Until(began.Add(time.Duration(next+1) * time.Second)))
				}
			}
			until(from)
			bytes, syncs := written(), synced()
			until(from + lasts)
			bytes, syncs = perHour(written()-bytes), perHour(synced()-syncs)
			t.Logf("an hour: %d syncs, %.1f MiB", syncs, float64(bytes)/(1<<20))
			assert.Less(t, syncs, c.syncs)
			assert.Less(t, bytes, c.bytes)
			require.NotNil(t, p.view("bench").Session, "a charge went on")
			p.stop()
		})
	}
}
