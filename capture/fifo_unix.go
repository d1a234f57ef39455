//go:build unix

package capture

import "syscall"

const nonBlocking = syscall.O_NONBLOCK
