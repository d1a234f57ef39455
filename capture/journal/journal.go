package journal

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// Journal is a data folder opened for writing, by this process alone.
type Journal struct {
	dir  string
	opt  Options
	lock io.Closer

	// files is held by whoever changes files that no channel is writing:
	// opening a channel, compressing, retention. Lock it before mu.
	files sync.Mutex

	mu       sync.Mutex
	channels map[string]*Channel
	closed   bool
}

// Open locks the data folder dir, making it if need be. The error is an
// *InUseError if another process holds it.
func Open(dir string, opt Options) (*Journal, error) {
	opt, err := opt.withDefaults()
	if err != nil {
		return nil, err
	}
	if err := opt.FS.MkdirAll(filepath.Join(dir, allChannels)); err != nil {
		return nil, fmt.Errorf("make the data folder: %w; name another with data: or --data, or give this one to the user who runs amphora", err)
	}
	lock, err := takeLock(opt.FS, dir)
	if err != nil {
		return nil, err
	}
	return &Journal{dir: dir, opt: opt, lock: lock, channels: map[string]*Channel{}}, nil
}

// Channel opens the named channel for writing, repairing first what a crash left
// behind. No record gets a number below atLeast: a daemon passes the position
// after its checkpoint, so that a number lost in a power cut is not given to
// another line. 0 means no wish. A channel can be open once.
func (j *Journal) Channel(name string, atLeast uint64) (*Channel, error) {
	if folder := FolderName(name); name == "" || len(folder) > maxName {
		return nil, fmt.Errorf("channel name %q is empty or too long: want 1 to %d bytes as a folder name", name, maxName)
	}
	j.files.Lock()
	defer j.files.Unlock()
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.closed {
		return nil, errClosed
	}
	for other := range j.channels {
		// Some file systems take "Left" and "left" for one folder.
		if strings.EqualFold(other, name) {
			return nil, fmt.Errorf("channel %q is already open as %q", name, other)
		}
	}
	next, err := j.recoverChannel(name)
	if err != nil {
		return nil, err
	}
	c := newChannel(j, name, max(next, atLeast))
	j.channels[name] = c
	go c.run()
	return c, nil
}

var errClosed = errors.New("the journal is closed")

// Degraded tells why lines are only in memory, naming the first channel, by its name,
// that suffers; nil while all is well.
func (j *Journal) Degraded() error {
	for _, c := range j.openChannels() {
		if h := c.Health(); h.Fault != nil {
			return fmt.Errorf("channel %q: %w", c.name, h.Fault)
		}
	}
	return nil
}

func (j *Journal) openChannels() []*Channel {
	j.mu.Lock()
	defer j.mu.Unlock()
	list := slices.Collect(maps.Values(j.channels))
	slices.SortFunc(list, func(a, b *Channel) int { return cmp.Compare(a.name, b.name) })
	return list
}

// Close writes and syncs what is waiting, ends all channels and gives the data
// folder free. The error names channels that could not save all their lines, or
// is ctx's if the disk hangs. Let Compress and Retain come to their end before.
func (j *Journal) Close(ctx context.Context) error {
	j.mu.Lock()
	j.closed = true
	j.mu.Unlock()
	var errs []error
	for _, c := range j.openChannels() {
		errs = append(errs, c.close(ctx))
	}
	j.mu.Lock()
	clear(j.channels)
	j.mu.Unlock()
	errs = append(errs, j.lock.Close())
	return errors.Join(errs...)
}
