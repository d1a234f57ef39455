//go:build unix

package capture

import (
	"errors"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"golang.org/x/sys/unix"
)

// access finds out who may open a device, without opening it.
func access(root, device string) Access {
	path := filepath.Join(root, device)
	a := Access{User: userName(os.Geteuid()), Allowed: unix.Access(path, unix.R_OK|unix.W_OK) == nil}
	info, err := os.Stat(path)
	if err != nil {
		return a
	}
	a.Mode = modeText(info.Mode())
	a.groupMay = info.Mode().Perm()&0o060 == 0o060
	if stat, ok := info.Sys().(*syscall.Stat_t); ok {
		a.Owner, a.Group = userName(int(stat.Uid)), groupName(int(stat.Gid))
	}
	return a
}

// modeText writes a mode as people know it: crw-rw----.
func modeText(mode fs.FileMode) string {
	kind := "-"
	if mode&fs.ModeCharDevice != 0 {
		kind = "c"
	}
	return kind + strings.TrimPrefix(mode.Perm().String(), "-")
}

func userName(id int) string {
	if u, err := user.LookupId(strconv.Itoa(id)); err == nil {
		return u.Username
	}
	return strconv.Itoa(id) // as in a container without a list of users
}

func groupName(id int) string {
	if g, err := user.LookupGroupId(strconv.Itoa(id)); err == nil {
		return g.Name
	}
	return strconv.Itoa(id)
}

func isBusy(err error) bool { return errors.Is(err, unix.EBUSY) }
