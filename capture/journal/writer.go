package journal

import "time"

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

// shouldSync also takes the wish for a sync, before the sync begins: a wish that
// comes during it is for later lines.
func (w *writer) shouldSync() bool {
	w.c.mu.Lock()
	defer w.c.mu.Unlock()
	urgent := w.c.urgent
	w.c.urgent = false
	return w.dirty && (urgent || w.c.backlog.crowded() || !time.Now().Before(w.syncDue))
}
