package capture

import (
	"io/fs"
	"strconv"
	"strings"
	"sync/atomic"
	"time"
)

// A host without a battery for its clock may start with the date that it kept at its last
// shutdown, hours or months ago: one that looks sound, and would date a charge for good.
// So as long as nobody seems to have set that clock, the time of day is told as by a host
// that begins in 1970, and all that waits for a date there waits here too.

// doubtedFor is how long after a boot a kept date is doubted: a router that comes back
// from the same power cut needs minutes (common practice, no source). Where nobody has set
// the clock until then nobody may ever, and a date that is too early is better than none.
const doubtedFor = 10 * time.Minute

// setBy is a step of the clock by which somebody has set it. A kept date is behind by what the
// host was off and by its boot; less than this is what a look at two clocks may be kept waiting.
const setBy = 5 * time.Second

// The first two are named in the manuals of those who write them, fake-hwclock(8) and
// systemd-timesyncd.service(8); the third is OpenRC's, which public images made with it bring along.
var keptDates = []string{
	"etc/fake-hwclock.data",
	"var/lib/systemd/timesync/clock",
	"var/lib/misc/openrc-shutdowntime",
}

// synchronized is there once the network has set the clock.
const synchronized = "run/systemd/timesync/synchronized"

// keptDate is a host's time of day, and whether it can be believed.
type keptDate struct {
	root     fs.FS     // of the host
	booted   time.Time // when the host booted, by the first look at its clock
	believed atomic.Bool
}

// newKeptDate looks at a host for the first time.
func newKeptDate(root fs.FS, wall time.Time, boot time.Duration) *keptDate {
	k := &keptDate{root: root, booted: wall.Add(-boot)}
	k.believed.Store(ownClock(root) || !keepsDate(root))
	return k
}

// wall is what to tell for the host's time of day: that, once it is to be believed, else
// the time since boot as a date of 1970.
func (k *keptDate) wall(host time.Time, boot time.Duration) time.Time {
	if k.believed.Load() {
		return host
	}
	step := host.Add(-boot).Sub(k.booted).Abs()
	if boot >= doubtedFor || step >= setBy || there(k.root, synchronized) {
		k.believed.Store(true)
		return host
	}
	return time.Unix(0, 0).UTC().Add(boot)
}

// ownClock says whether a clock of the host went on while it was off. One whose battery is
// missing is there as well, and begins at its maker's idea of nought.
func ownClock(root fs.FS) bool {
	clocks, _ := fs.Glob(root, "sys/class/rtc/*/since_epoch")
	for _, name := range clocks {
		text, _ := fs.ReadFile(root, name)
		s, err := strconv.ParseInt(strings.TrimSpace(string(text)), 10, 64)
		if err == nil && ClockSet(time.Unix(s, 0)) {
			return true
		}
	}
	return false
}

func keepsDate(root fs.FS) bool {
	for _, name := range keptDates {
		if there(root, name) {
			return true
		}
	}
	return false
}

func there(root fs.FS, name string) bool {
	_, err := fs.Stat(root, name)
	return err == nil
}
