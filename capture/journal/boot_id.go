package journal

import (
	"crypto/rand"
	"os"
	"strings"
)

// bootID names this start of the machine. Where the system has no such name, a
// fresh one is drawn: boot times of two runs are then never compared, which is
// the safe side.
func bootID() string {
	if b, err := os.ReadFile("/proc/sys/kernel/random/boot_id"); err == nil {
		if id := strings.TrimSpace(string(b)); validBootID(id) {
			return id
		}
	}
	return rand.Text()
}

func validBootID(id string) bool {
	for i := range len(id) {
		c := id[i]
		if (c < '0' || c > '9') && (c < 'a' || c > 'z') && (c < 'A' || c > 'Z') && c != '-' {
			return false
		}
	}
	return id != "" && len(id) <= 64
}
