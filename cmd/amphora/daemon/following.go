package daemon

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"amphora/capture"
	"amphora/capture/journal"
)

// following lets a log file that is followed go on where it was left, so that a
// restart neither loses what was added meanwhile nor records anything twice.
//
// The place in the file is written down now and then, once the lines before it are
// safe. What the journal holds beyond it will be read from the file again; those
// lines are known by their text and passed over.
type following struct {
	file    string // where the progress is written down
	now     progress
	written progress
	places  places
	at      time.Duration // of the last writing, boot clock
	last    uint64        // number of the latest line's record
	known   []knownLine
}

// progress is how far a file was recorded: the records up to Seq came from what
// stands before the place.
type progress struct {
	Seq  uint64           `json:"seq"`
	File capture.Position `json:"file"`
}

type knownLine struct {
	seq  uint64
	text []byte
	half bool // what a stop left of a line
}

// follow makes the source of a channel that follows a file, and finds out how far
// the journal already goes.
func (c *channel) follow() error {
	if info, err := os.Stat(c.set.Follow.Path); err == nil && !info.Mode().IsRegular() {
		return nil // a pipe has no places to go back to
	}
	f := &following{file: filepath.Join(c.data, "state", journal.FolderName(c.set.Name)+".file.json")}
	if err := f.begin(c); err != nil {
		return err
	}
	log := *c.set.Follow
	log.Resume, log.Save = f.now.File, c.followed
	source, err := log.Source()
	if err != nil {
		return err
	}
	c.set.Source, c.following = source, f
	return nil
}

// begin reads the progress. Where there is none that can be read it is looked for; what
// another source brought is not in this file, and the progress is the journal's end.
func (f *following) begin(c *channel) error {
	err := readState(f.file, &f.now)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		c.log.Warn("the place in the log file is not known any more, and is looked for", "channel", c.set.Name, "error", err)
	}
	if err != nil {
		f.now = progress{Seq: c.record.Health().Next - 1}
		if at, ok, err := f.search(c); err != nil {
			c.log.Warn("cannot find the place in the log file; lines may be recorded twice", "channel", c.set.Name, "error", err)
		} else if ok {
			f.now.File = at
		}
		if err := f.write(f.now); err != nil {
			c.log.Warn("cannot note the place in the log file; a restart may record lines twice", "channel", c.set.Name, "error", err)
		}
	}
	if err := f.look(c); err != nil {
		return err
	}
	f.written, f.last = f.now, f.now.Seq
	return nil
}

// look takes the lines that were recorded since. What came from another source, or over a pipe,
// is not in the file; where there is nothing else, none of it need be looked at again.
func (f *following) look(c *channel) error {
	r, err := journal.NewReader(c.data, c.set.Name, f.now.Seq+1)
	if err != nil {
		return fmt.Errorf("read the end of channel %q: %w", c.set.Name, err)
	}
	defer r.Close()
	ofFile, foreign, last := true, false, f.now.Seq
	for r.Next() {
		rec := r.Record()
		last = rec.Seq
		switch {
		case rec.Flags&capture.Opened != 0:
			ofFile = bytes.Contains(rec.Text, []byte(capture.AtByte))
			foreign = foreign || !ofFile
		case ofFile && rec.Flags&capture.NotLine == 0:
			f.known = append(f.known, knownLine{rec.Seq, bytes.Clone(rec.Text), rec.Flags&capture.Fragment != 0})
		}
	}
	if err := r.Err(); err != nil || !foreign || len(f.known) > 0 {
		return err
	}
	f.now.Seq = last
	if err := f.write(f.now); err != nil {
		c.log.Warn("cannot note how far the journal is not of the log file; each start will read it again", "channel", c.set.Name, "error", err)
	}
	return nil
}

// search finds the place in a file that begins with all that the journal holds: that
// was read of it by a program that noted no place, or the note is gone.
func (f *following) search(c *channel) (capture.Position, bool, error) {
	r, err := journal.NewReader(c.data, c.set.Name, 1)
	if err != nil {
		return capture.Position{}, false, err
	}
	defer r.Close()
	at, ok, err := c.set.Follow.Behind(func() ([]byte, bool) {
		for r.Next() {
			// Half a line is what a stop left; it was read again as a whole.
			if rec := r.Record(); rec.Flags&(capture.NotLine|capture.Fragment) == 0 {
				return rec.Text, true
			}
		}
		return nil, false
	})
	if errors.Is(err, fs.ErrNotExist) {
		return at, false, nil
	}
	return at, ok && r.Err() == nil, errors.Join(err, r.Err())
}

// knows tells whether a line is one that the journal has already. The first that
// is not ends the repetition: the file is another one by now. Half a line may have been read
// again as a whole.
func (f *following) knows(line *capture.Frame) bool {
	for len(f.known) > 0 && f.known[0].half && !bytes.Equal(f.known[0].text, line.Text) {
		f.known = f.known[1:]
	}
	if len(f.known) == 0 {
		return false
	}
	if !bytes.Equal(f.known[0].text, line.Text) {
		f.known = nil
		return false
	}
	f.last, f.known = f.known[0].seq, f.known[1:]
	return true
}

// followed takes the place in the file behind the latest line.
func (c *channel) followed(p capture.Position) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.following.now = progress{Seq: c.following.last, File: p}
}

// manyLines are worth a note of their own, before their repetition takes long.
const manyLines = 4096

// noteFollowing writes the progress down when it is time to: now and then, and at once where
// the log was rotated or cut, for a place in a log that is gone is none. The caller holds mu.
func (c *channel) noteFollowing(boot time.Duration) {
	f := c.following
	if f == nil || f.now == f.written {
		return
	}
	was, is := f.written.File, f.now.File
	anew := is.Inode != was.Inode || is.Device != was.Device || is.Offset < was.Offset
	if !anew && boot-f.at < c.storeEvery && f.now.Seq-f.written.Seq < manyLines {
		return
	}
	f.at, f.written = boot, f.now
	turn, p := f.places.next(), f.now
	c.tasks.Go(func() {
		ctx, cancel := context.WithTimeout(c.until, time.Minute)
		defer cancel()
		c.keepProgress(ctx, turn, p)
	})
}

// keepProgress writes a progress down once the lines before it are safe, unless a later one
// was written while a slow disk kept this one waiting: it may be of a log that is gone by now.
func (c *channel) keepProgress(ctx context.Context, turn int64, p progress) {
	if err := c.record.Sync(ctx); err != nil {
		return // the journal itself says so loudly; the old place is right, only slower
	}
	if err := c.following.places.write(turn, p, c.following.file); err != nil {
		c.log.Warn("cannot note the place in the log file; a restart will read more of it again", "channel", c.set.Name, "error", err)
	}
}

func (f *following) write(p progress) error { return writeState(f.file, p) }
