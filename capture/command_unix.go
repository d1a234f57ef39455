//go:build unix

package capture

import (
	"os"
	"os/exec"
	"syscall"
)

// ownGroup lets a command be killed along with what it starts.
func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// killGroup kills the command's group, which bears its number.
func killGroup(leader *os.Process) {
	_ = syscall.Kill(-leader.Pid, syscall.SIGKILL) // it may have ended by itself
}
