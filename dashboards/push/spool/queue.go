package spool

import (
	"errors"
	"io/fs"
	"log/slog"
	"maps"
	"slices"
	"sync"
)

// Queue is what waits, the oldest first. It is safe for use by several goroutines;
// one at a time takes from it.
type Queue struct {
	dir    string
	log    *slog.Logger
	limit  int64
	memory int

	disk sync.Mutex // held while files are written or removed; before mu

	mu      sync.Mutex
	waiting []*entry
	taken   *entry            // the oldest, while it is being delivered
	last    uint64            // number of the newest batch
	marks   map[string]uint64 // how far what was pushed goes, by channel
	noted   uint64            // number of the newest batch when the marks were last written
	stored  int64             // bytes on disk
	held    int               // bytes in memory only
	pending int               // points
	dropped uint64            // points
}

// entry is a batch that waits.
type entry struct {
	number uint64
	points int
	text   []byte            // until it is on disk
	marks  map[string]uint64 // of it and all before it, until it is on disk
	size   int64             // on disk; 0 while it is in memory only
}

// Batch is the oldest batch, ready to be sent.
type Batch struct {
	Points int
	Body   []byte // compressed with gzip

	entry *entry
}

// Push adds a batch; marks are the last records of the channels in it. It does not
// wait and does not copy. Where memory is full, the oldest batch there goes.
func (q *Queue) Push(points int, text []byte, marks map[string]uint64) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.last++
	maps.Copy(q.marks, marks)
	q.waiting = append(q.waiting, &entry{number: q.last, points: points, text: text, marks: maps.Clone(q.marks)})
	q.pending += points
	q.held += len(text)
	for k := 0; q.held > q.memory && k < len(q.waiting)-1; {
		if e := q.waiting[k]; e.size > 0 || e == q.taken {
			k++
			continue
		}
		q.drop(k)
	}
}

// After is the last record of a channel that was pushed.
func (q *Queue) After(channel string) uint64 {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.marks[channel]
}

// Take returns the oldest batch; nil where none waits. Done or Back must follow.
// What is damaged is put aside and counted as dropped; any other error of the disk
// may pass.
func (q *Queue) Take() (*Batch, error) {
	for {
		q.mu.Lock()
		if len(q.waiting) == 0 {
			q.mu.Unlock()
			return nil, nil
		}
		e := q.waiting[0]
		text := e.text
		q.taken = e
		q.mu.Unlock()
		if text != nil {
			return &Batch{Points: e.points, Body: Compress(text), entry: e}, nil
		}
		s, err := q.load(e)
		switch {
		case err == nil:
			return &Batch{Points: e.points, Body: s.body, entry: e}, nil
		case !errors.Is(err, errDamaged) && !errors.Is(err, fs.ErrNotExist):
			q.Back()
			return nil, err
		}
		q.forget(e, err)
	}
}

// forget gives up the batch that was taken, since its file is no good.
func (q *Queue) forget(e *entry, why error) {
	q.disk.Lock()
	defer q.disk.Unlock()
	q.putAside(e, why)
	q.mu.Lock()
	defer q.mu.Unlock()
	q.taken = nil
	q.drop(slices.Index(q.waiting, e)) // which nobody else removes while it is taken
}

// Back says that a batch was not delivered.
func (q *Queue) Back() {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.taken = nil
}

// Done says that a batch is delivered, and forgets it.
func (q *Queue) Done(b *Batch) {
	q.disk.Lock()
	defer q.disk.Unlock()
	q.mu.Lock()
	q.taken = nil
	if k := slices.Index(q.waiting, b.entry); k >= 0 {
		q.remove(k)
	}
	q.mu.Unlock()
	if b.entry.size > 0 {
		q.unlink(b.entry)
	}
}

// drop gives a batch up and counts it. The caller holds mu.
func (q *Queue) drop(k int) {
	q.dropped += uint64(q.waiting[k].points)
	q.remove(k)
}

// remove takes a batch out of the list. The caller holds mu.
func (q *Queue) remove(k int) {
	e := q.waiting[k]
	q.pending -= e.points
	q.stored -= e.size
	q.held -= len(e.text)
	q.waiting = slices.Delete(q.waiting, k, k+1)
}

// Level is how full a queue is.
type Level struct {
	Batches int
	Points  int
	Stored  int64  // bytes on disk
	Memory  int    // bytes in memory only
	Dropped uint64 // points, since Open
}

// Level tells how full it is.
func (q *Queue) Level() Level {
	q.mu.Lock()
	defer q.mu.Unlock()
	return Level{len(q.waiting), q.pending, q.stored, q.held, q.dropped}
}
