//go:build !unix

package notify

import (
	"os"
	"os/exec"
)

func ownGroup(*exec.Cmd) {}

// killGroup kills the command alone: here there are no process groups.
func killGroup(leader *os.Process) error { return leader.Kill() }
