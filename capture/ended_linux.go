package capture

import (
	"os"

	"golang.org/x/sys/unix"
)

// hasEnded says whether a command has ended, and leaves it to be waited for: until then
// nothing else gets its number.
func hasEnded(p *os.Process) bool {
	var info unix.Siginfo
	err := unix.Waitid(unix.P_PID, p.Pid, &info, unix.WEXITED|unix.WNOHANG|unix.WNOWAIT, nil)
	return err == nil && info.Signo != 0
}
