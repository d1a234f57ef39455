package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
)

// allChannels is the folder of all channels inside the data folder.
const allChannels = "journal"

// maxName keeps a folder's name below the 255 bytes that file systems allow.
const maxName = 200

func channelDir(dir, channel string) string {
	return filepath.Join(dir, allChannels, FolderName(channel))
}

// FolderName is the folder, in the journal's, that holds a channel's segments, and a
// safe file name for whatever a channel is called: letters, digits, "-", "_" and "."
// stay, each other byte becomes % and two hex digits. A leading dot is escaped too, so
// that no name hides or climbs.
func FolderName(channel string) string {
	var b strings.Builder
	for i := range len(channel) {
		c := channel[i]
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-', c == '_', c == '.' && i > 0:
			b.WriteByte(c)
		default:
			fmt.Fprintf(&b, "%%%02x", c)
		}
	}
	return b.String()
}

// channelOf undoes FolderName.
func channelOf(folder string) (string, bool) {
	var b strings.Builder
	for i := 0; i < len(folder); i++ {
		if folder[i] != '%' {
			b.WriteByte(folder[i])
			continue
		}
		if i+2 >= len(folder) {
			return "", false
		}
		high, low := hexValue(folder[i+1]), hexValue(folder[i+2])
		if high < 0 || low < 0 {
			return "", false
		}
		b.WriteByte(byte(high<<4 | low))
		i += 2
	}
	name := b.String()
	return name, name != "" && FolderName(name) == folder
}

// Channels lists the names of all channels in a data folder, sorted.
func Channels(dir string) ([]string, error) { return listChannels(osFS{}, dir) }

func listChannels(fsys FS, dir string) ([]string, error) {
	folders, err := fsys.ReadDir(filepath.Join(dir, allChannels))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("list the journal's channels: %w; name a daemon's data folder", err)
	}
	if err != nil {
		return nil, fmt.Errorf("list the journal's channels: %w", err)
	}
	var names []string
	for _, folder := range folders {
		if name, ok := channelOf(folder); ok {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names, nil
}
