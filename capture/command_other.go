//go:build !unix

package capture

import (
	"os"
	"os/exec"
)

func ownGroup(*exec.Cmd) {}

// killGroup kills the command alone: here there are no process groups.
func killGroup(leader *os.Process) { _ = leader.Kill() }
