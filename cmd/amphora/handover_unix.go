//go:build unix

package main

import (
	"os"
	"path/filepath"
	"syscall"
)

// handOver gives a file that root has just made to the owner of its folder. A daemon
// under an account of its own could not write it otherwise, and would find that out in
// the night.
func handOver(file string) error {
	if os.Geteuid() != 0 {
		return nil
	}
	info, err := os.Stat(filepath.Dir(file))
	if err != nil {
		return err
	}
	owner := info.Sys().(*syscall.Stat_t)
	return os.Lchown(file, int(owner.Uid), int(owner.Gid))
}
