//go:build linux

package e2e

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aim is a call of the system before which the program is killed. Nothing changes on
// the disk between two calls, so a kill before each is one after each as well.
type aim struct {
	call string
	file string // in the data folder; NEW is the next segment, OLD the one before it
	nth  int    // such call, of one thread
	stop bool   // the program is asked to stop, which brings the call about
}

// hurried is how many of the aims the short version has.
const hurried = 6

// aims are the steps in which a record, a segment and the logbook become safe.
var aims = []aim{
	{"renameat", "journal/bench/NEW.log.new", 1, false},
	{"pwrite64", "journal/bench/NEW.log", 40, false},
	{"fsync", "journal/bench/NEW.log", 1, false},
	{"pwrite64", "logbook.db-wal", 1, true},
	{"fsync", "journal/bench", 1, false},
	{"pwrite64", "logbook.db", 1, true},
	{"openat", "journal/bench/NEW.log.new", 1, false},
	{"pwrite64", "journal/bench/NEW.log.new", 1, false}, // the header
	{"pwrite64", "journal/bench/NEW.log.new", 2, false}, // what waits
	{"fsync", "journal", 1, false},
	{"fsync", "", 1, false},
	{"fsync", "journal/bench/NEW.log.new", 1, false},
	{"pwrite64", "journal/bench/NEW.log", 1, false}, // after the segment got its name
	{"pwrite64", "journal/bench/NEW.log", 150, false},
	{"fsync", "journal/bench/NEW.log", 2, false},
	{"fsync", "journal/bench/NEW.log", 1, true},
	{"pwrite64", "logbook.db-wal", 2, true},
	{"pwrite64", "logbook.db-wal", 4, true},
	{"pwrite64", "logbook.db-wal", 2, false}, // while it runs
	{"fsync", "logbook.db-wal", 1, true},
	{"fsync", "logbook.db", 1, true},
	{"pwrite64", "logbook.db", 2, true},
	{"unlink", "logbook.db-wal", 1, true},
	{"pwrite64", "journal/bench/OLD.log.zst.new", 1, false},
	{"fsync", "journal/bench/OLD.log.zst.new", 1, false},
	{"renameat", "journal/bench/OLD.log.zst.new", 1, false},
	{"unlinkat", "journal/bench/OLD.log", 1, false},
}

// traced is the program with a kill before the call that is aimed at.
func (k *killing) traced(a aim) *exec.Cmd {
	return exec.Command("strace", "-D", "-f", "-qq", "-o", "/dev/null", "-e", "signal=none",
		"-e", "trace="+a.call, "-P", k.target(a.file), "-e", fmt.Sprintf("inject=%s:signal=SIGKILL:when=%d", a.call, a.nth),
		binary, "serve", "--config", k.place.config)
}

// target is the path of an aim's file.
func (k *killing) target(file string) string {
	names, err := os.ReadDir(filepath.Join(k.place.data, "journal", "bench"))
	require.NoError(k.t, err)
	next, last := uint64(1), ""
	for _, r := range recorded(k.t, k.place.data, "bench") {
		next = r.seq + 1
	}
	for _, n := range names {
		name, unfinished := strings.CutSuffix(n.Name(), ".new")
		if name, ok := strings.CutSuffix(name, ".log"); ok {
			last = name
		}
		if unfinished && last+".log" == name { // gets its name at the start, before any other
			text, err := os.ReadFile(filepath.Join(k.place.data, "journal", "bench", n.Name()))
			require.NoError(k.t, err)
			next += uint64(max(strings.Count(string(text), "\n")-1, 0))
		}
	}
	file = strings.Replace(file, "NEW", fmt.Sprintf("%s-%012d", time.Now().UTC().Format(time.DateOnly), next), 1)
	return filepath.Join(k.place.data, strings.Replace(file, "OLD", last, 1))
}

// hit runs the program until the kill that is aimed at a call meets it. The charger
// waits until the program is there.
func (k *killing) hit(a aim) {
	k.program = launch(k.t, k.traced(a))
	k.runs = append(k.runs, k.program)
	there := func() bool { return k.program.log.Count("msg=recording") > 0 || k.program.gone() }
	testhelp.Until(k.t, "the program", there)
	asked, enough := false, k.next+200
	for limit := time.Now().Add(time.Minute); !k.program.gone(); time.Sleep(pace) {
		require.Less(k.t, time.Now(), limit, "no %s of %s came", a.call, a.file)
		k.say()
		if a.stop && !asked && k.next > enough {
			asked = true
			require.NoError(k.t, k.program.cmd.Process.Signal(syscall.SIGTERM))
		}
	}
	k.killed = append(k.killed, time.Now())
	status, _ := k.program.cmd.ProcessState.Sys().(syscall.WaitStatus)
	assert.Equal(k.t, syscall.SIGKILL, status.Signal(), "%s of %s", a.call, a.file)
	k.port.free()
}

func TestKilledWhereItMatters(t *testing.T) {
	t.Parallel()
	testhelp.Needed(t, "strace", "strace")
	if out, err := exec.Command("strace", "-D", "-f", "-o", "/dev/null", "true").CombinedOutput(); err != nil {
		testhelp.Lacking(t, "no program can be traced here: "+string(out))
	}
	chosen := aims[:hurried]
	if long {
		chosen = aims
	}
	k := newKilling(t, len(chosen), 12*time.Second)
	k.alive()
	k.kill()
	for _, a := range chosen {
		k.hit(a)
	}
	sessions := k.rest()
	require.Len(t, sessions, 1)
	k.checkCharge(sessions[0])
}
