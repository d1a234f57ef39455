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
	w.work()
	if w.file != nil {
		_ = w.file.Close() // synced before
	}
}

// drain writes all waiting lines and syncs if it is time, until neither is left:
// during a sync more may come.
func (w *writer) drain() error {
	for {
		b, waiting := w.nextBatch()
		if waiting {
			if err := w.store(b); err != nil {
				return err
			}
		}
		due := w.shouldSync()
		if due {
			if err := w.sync(); err != nil {
				return err
			}
		}
		if !waiting && !due {
			return nil
		}
	}
}

// meanwhile has the disk do what may take seconds on a poor card, and writes on to
// the current segment: a line that waited in memory for the end of a sync would not
// outlast a kill.
func (w *writer) meanwhile(do func() error) error {
	done := make(chan error, 1)
	go func() { done <- do() }()
	for {
		select {
		case err := <-done:
			return err
		case <-w.c.wake:
			if err := w.writeOn(); err != nil {
				<-done
				return err
			}
		}
	}
}

// writeOn writes the lines that have come, as far as they belong to the current
// segment.
func (w *writer) writeOn() error {
	for {
		b, waiting := w.nextBatch()
		if !waiting || !w.fits(b) {
			return nil
		}
		if err := w.append(b); err != nil {
			return err
		}
	}
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

// shouldSync tells whether it is time to. A wish for a line that has come, but is not
// written yet, waits for that.
func (w *writer) shouldSync() bool {
	w.c.mu.Lock()
	defer w.c.mu.Unlock()
	urgent := w.c.synced < w.c.wanted && w.c.wanted <= w.last
	return w.dirty && (urgent || w.c.closed || w.c.backlog.crowded() || !time.Now().Before(w.syncDue))
}
