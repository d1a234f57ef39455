package journal

import (
	"fmt"
	"path/filepath"
	"time"
)

// What the writer does to the current segment. Each step either succeeds or
// leaves the segment to abandon.

// store appends b to the current segment, or begins one with it.
func (w *writer) store(b batch) error {
	if w.file != nil && b.day == w.day && w.size < w.c.opt.SegmentBytes {
		return w.append(b)
	}
	if err := w.leave(); err != nil {
		return err
	}
	return w.begin(b)
}

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
	if w.file == nil {
		return nil
	}
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
// repeats unsynced records of the one before has all of them or does not exist.
func (w *writer) begin(b batch) error {
	path := filepath.Join(w.c.dir, segmentName(b.day, b.first)+plainEnd)
	fsys := w.c.opt.FS
	if err := w.makeFolder(); err != nil {
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
	if err := w.timedSync(); err != nil {
		return err
	}
	w.c.claim(path)
	if err := fsys.Rename(path+newEnd, path); err != nil {
		return fmt.Errorf("begin a journal segment: %w", err)
	}
	w.path = path
	if err := fsys.SyncDir(w.c.dir); err != nil {
		return fmt.Errorf("sync the journal's folder: %w", err)
	}
	w.c.noteSynced(w.last)
	return nil
}

// makeFolder makes the channel's folder and its name durable. Only here, so that
// a channel can be opened while the disk is away.
func (w *writer) makeFolder() error {
	fsys, parent := w.c.opt.FS, filepath.Dir(w.c.dir)
	if err := fsys.MkdirAll(w.c.dir); err != nil {
		return err
	}
	if err := fsys.SyncDir(parent); err != nil {
		return err
	}
	return fsys.SyncDir(filepath.Dir(parent))
}

// fill writes the header and everything that waits for b's day, b first.
func (w *writer) fill(b batch) error {
	head := appendHeader(nil, header{version: Version, first: b.first, bootID: w.c.opt.BootID, channel: w.c.name})
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

func (w *writer) sync() error {
	if err := w.timedSync(); err != nil {
		return err
	}
	w.dirty = false
	w.c.noteSynced(w.last)
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
