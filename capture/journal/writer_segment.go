package journal

import (
	"fmt"
	"path/filepath"
	"time"
)

// What the writer does to the current segment. Each step either succeeds or
// leaves the segment to abandon.

// store appends b to the current segment, or begins one with it. Where the current
// one has to end first it does only that.
func (w *writer) store(b batch) error {
	switch {
	case w.file == nil:
		return w.begin(b)
	case w.fits(b):
		return w.append(b)
	}
	return w.leave()
}

// fits tells whether b belongs into the current segment.
func (w *writer) fits(b batch) bool { return b.day == w.day && w.size < w.c.opt.SegmentBytes }

// append hands whole records to the disk in one write, so that a kill leaves
// whole records.
func (w *writer) append(b batch) error {
	if err := w.write(b); err != nil {
		return err
	}
	if !w.dirty {
		w.dirty, w.syncDue = true, time.Now().Add(w.c.opt.SyncEvery)
	}
	return nil
}

func (w *writer) write(b batch) error {
	n, err := w.file.WriteAt(b.data, w.size)
	w.c.written.Add(uint64(n))
	if err != nil {
		return fmt.Errorf("write to the journal: %w", err)
	}
	w.size += int64(len(b.data))
	w.last = b.last
	return nil
}

// leave ends the current segment in good order.
func (w *writer) leave() error {
	if w.dirty {
		if err := w.sync(); err != nil {
			return err
		}
	}
	_ = w.file.Close() // all of it is synced
	w.file = nil
	return nil
}

// begin makes a segment that appears whole: its header and all lines of b's day
// that are waiting are durable before it has its name. That way a segment that
// repeats unsynced records of the one before has all of them or does not exist. One
// that repeats none gets its name at the next start if a kill comes before.
func (w *writer) begin(b batch) error {
	path := filepath.Join(w.c.dir, segmentName(b.day, b.first)+plainEnd)
	fsys := w.c.opt.FS
	if err := fsys.MkdirAll(w.c.dir); err != nil { // here, so that a channel can be opened while the disk is away
		return fmt.Errorf("make the journal's folder: %w", err)
	}
	file, err := fsys.Create(path + newEnd)
	if err != nil {
		return fmt.Errorf("begin a journal segment: %w", err)
	}
	w.file, w.path, w.day, w.size, w.dirty = file, path+newEnd, b.day, 0, false
	if err := w.fill(b); err != nil {
		return err
	}
	last := w.last
	if err := w.meanwhile(w.save); err != nil {
		return err
	}
	w.c.claim(path)
	if err := fsys.Rename(path+newEnd, path); err != nil {
		return fmt.Errorf("begin a journal segment: %w", err)
	}
	w.path = path
	if err := w.meanwhile(func() error { return fsys.SyncDir(w.c.dir) }); err != nil {
		return fmt.Errorf("sync the journal's folder: %w", err)
	}
	w.c.noteSynced(last)
	return nil
}

// save makes a new segment's lines durable, and the names of the folders that it is
// in.
func (w *writer) save() error {
	parent := filepath.Dir(w.c.dir)
	for _, folder := range []string{parent, filepath.Dir(parent)} {
		if err := w.c.opt.FS.SyncDir(folder); err != nil {
			return fmt.Errorf("make the journal's folder: %w", err)
		}
	}
	return w.timedSync()
}

// fill writes the header and everything that waits for b's day, b first.
func (w *writer) fill(b batch) error {
	head := appendHeader(nil, header{version: formatVersion, first: b.first, bootID: w.c.opt.BootID, channel: w.c.name})
	n, err := w.file.WriteAt(head, 0)
	w.c.written.Add(uint64(n))
	if err != nil {
		return fmt.Errorf("write to the journal: %w", err)
	}
	w.size = int64(len(head))
	waiting := w.c.Health().Next // more may come all the time
	for ok := true; ok && b.day == w.day && b.first < waiting; b, ok = w.nextBatch() {
		if err := w.write(b); err != nil {
			return err
		}
	}
	return nil
}

// sync makes durable what is written by now. What is written meanwhile is for the
// next one.
func (w *writer) sync() error {
	last := w.last
	w.dirty = false
	if err := w.meanwhile(w.timedSync); err != nil {
		return err
	}
	w.c.noteSynced(last)
	return nil
}

func (w *writer) timedSync() error {
	began := time.Now()
	err := w.file.Sync()
	if f := w.c.opt.OnSync; f != nil {
		f(w.c.name, time.Since(began))
	}
	if err != nil {
		return fmt.Errorf("sync the journal: %w", err)
	}
	return nil
}

// abandon leaves the current segment after a fault. What it holds beyond the
// last sync is still in memory and goes into the next one.
func (w *writer) abandon() {
	if w.file == nil {
		return
	}
	if filepath.Ext(w.path) == newEnd {
		_ = w.file.Close()
		_ = w.c.opt.FS.Remove(w.path) // if this fails, opening the channel does it
	} else {
		// Half a record would only look like damage later; if the disk refuses
		// this too, the reader passes over it.
		_ = w.file.Truncate(w.size)
		_ = w.file.Close()
	}
	w.file, w.dirty = nil, false
}
