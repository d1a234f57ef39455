//go:build unix

package notify

import (
	"os"
	"os/exec"
	"syscall"
)

// ownGroup lets a command be killed along with what it starts.
func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// killGroup kills the command's group, which bears its number. Nothing else can
// bear it while one of the group is left.
func killGroup(leader *os.Process) error { return syscall.Kill(-leader.Pid, syscall.SIGKILL) }
