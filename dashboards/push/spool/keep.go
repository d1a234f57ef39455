package spool

import (
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"amphora/dashboards/durable"
)

// Keep writes to disk what is in memory only, in order. What is over the limit then
// goes, the oldest first.
func (q *Queue) Keep() error {
	q.disk.Lock()
	defer q.disk.Unlock()
	_, err := q.keep()
	return err
}

// Note is Keep, and then writes down that nothing is missing up to the records that
// were pushed last, so that none of them is told again after a start.
func (q *Queue) Note() error {
	q.disk.Lock()
	defer q.disk.Unlock()
	s, err := q.keep()
	if err != nil || s.number == q.noted {
		return err
	}
	content, err := s.marshal()
	if err == nil {
		err = durable.Replace(q.dir, marksFile, content)
	}
	if err == nil {
		q.noted = s.number
	}
	return err
}

// keep returns how far everything is delivered or on disk. The caller holds disk.
func (q *Queue) keep() (*stored, error) {
	for {
		q.mu.Lock()
		k := slices.IndexFunc(q.waiting, func(e *entry) bool { return e.size == 0 })
		if k < 0 {
			all := &stored{number: q.last, marks: maps.Clone(q.marks)}
			q.mu.Unlock()
			return all, nil
		}
		e := q.waiting[k]
		s, text := &stored{number: e.number, points: e.points, marks: e.marks}, e.text
		q.mu.Unlock()

		s.body = Compress(text)
		content, err := s.marshal()
		if err == nil {
			err = durable.Replace(q.dir, batchName(e.number, e.points), content)
		}
		if err != nil {
			return nil, err
		}
		for _, e := range q.kept(e, onDisk(int64(len(content)))) {
			q.unlink(e)
		}
	}
}

// kept notes that a batch is on disk, and returns those whose files must go.
func (q *Queue) kept(e *entry, size int64) (gone []*entry) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if !slices.Contains(q.waiting, e) { // memory was full meanwhile
		return []*entry{e}
	}
	q.stored, q.held = q.stored+size, q.held-len(e.text)
	e.size, e.text, e.marks = size, nil, nil
	for k := 0; q.stored > q.limit && k < len(q.waiting); {
		old := q.waiting[k]
		if old == q.taken || old == e || old.size == 0 {
			k++
			continue
		}
		gone = append(gone, old)
		q.drop(k)
	}
	return gone
}

// unlink removes the file of a batch. One that stays is sent again after the next
// start, which changes nothing.
func (q *Queue) unlink(e *entry) {
	if err := os.Remove(filepath.Join(q.dir, batchName(e.number, e.points))); err != nil && !errors.Is(err, fs.ErrNotExist) {
		q.log.Warn("push: a file of the spool cannot be removed", "error", err)
	}
}
