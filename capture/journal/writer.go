package journal

import (
	"fmt"
	"path/filepath"
	"time"
)

// batchBytes is how much is handed to the disk in one write.
const batchBytes = 256 << 10

// writer does the file work of a channel. One goroutine owns it, so nothing here
// is locked.
//
// There is one way to deal with every fault of the disk: cut the segment back to
// its last whole record, leave it, and write all that is not durable yet into a
// fresh segment, from memory. After a failed sync nothing else is safe, because
// the system may have thrown the unwritten pages away and the next sync would
// still succeed.
type writer struct {
	c   *Channel
	buf []byte

	file File // the current segment; nil if there is none
	path string
	day  int
	size int64  // bytes of whole records in file
	last uint64 // number of the last record in file

	dirty   bool // file has records that are not synced
	syncDue time.Time
	retryAt time.Time // zero unless the disk is away
	timer   *time.Timer
}

// run is the channel's goroutine.
func (c *Channel) run() {
	defer close(c.done)
	w := &writer{c: c, timer: time.NewTimer(time.Hour)}
	defer w.timer.Stop()
	for {
		select {
		case <-c.wake:
		case <-w.timer.C:
		case <-c.stop:
			w.finish()
			return
		}
		if time.Now().Before(w.retryAt) {
			continue // lines gather in memory meanwhile
		}
		w.work()
	}
}

// work stores what is waiting, with one second try at once: a fault that does
// not come back costs no time.
func (w *writer) work() {
	w.c.noteBusy(time.Now())
	defer w.c.noteBusy(time.Time{})
	err := w.drain()
	if err != nil {
		w.abandon()
		w.c.noteTry()
		err = w.drain()
	}
	if err != nil {
		w.abandon()
		w.retryAt = time.Now().Add(w.c.opt.RetryEvery)
		w.timer.Reset(w.c.opt.RetryEvery)
		w.c.noteFault(err)
		return
	}
	w.retryAt = time.Time{}
	w.c.noteWell()
	if w.dirty {
		w.timer.Reset(time.Until(w.syncDue))
	}
}

// finish stores the last lines whatever the time.
func (w *writer) finish() {
	w.c.mu.Lock()
	w.c.urgent = true
	w.c.mu.Unlock()
	w.work()
	if w.file != nil {
		_ = w.file.Close() // synced before
	}
}

// drain writes all waiting lines and syncs if it is time.
func (w *writer) drain() error {
	for {
		b, ok := w.nextBatch()
		if !ok {
			break
		}
		if err := w.store(b); err != nil {
			return err
		}
		if w.shouldSync() {
			if err := w.sync(); err != nil {
				return err
			}
		}
	}
	if w.shouldSync() {
		return w.sync()
	}
	return nil
}

func (w *writer) nextBatch() (batch, bool) {
	w.c.mu.Lock()
	defer w.c.mu.Unlock()
	from := w.c.synced + 1
	if w.file != nil {
		from = w.last + 1
	}
	b, ok := w.c.backlog.copyFrom(from, w.buf, batchBytes)
	if ok {
		w.buf = b.data
	}
	return b, ok
}

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

// shouldSync also takes the wish for a sync, before the sync begins: a wish that
// comes during it is for later lines.
func (w *writer) shouldSync() bool {
	w.c.mu.Lock()
	defer w.c.mu.Unlock()
	urgent := w.c.urgent
	w.c.urgent = false
	return w.dirty && (urgent || w.c.backlog.crowded() || !time.Now().Before(w.syncDue))
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
