package spool

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Options are what a Queue is made of.
type Options struct {
	Dir    string       // of this queue alone
	Limit  int64        // bytes on disk; DefaultLimit where 0
	Memory int          // bytes in memory that are not on disk; DefaultMemory where 0
	Log    *slog.Logger // nil for nobody
}

const (
	// DefaultLimit holds some ten weeks of one channel at one reading a second, at about
	// ten bytes a point.
	DefaultLimit = 64 << 20
	// DefaultMemory holds what comes while a try hangs, or the disk does not answer:
	// about 60 000 points.
	DefaultMemory = 8 << 20
	// block is what even the smallest file takes on a disk.
	block = 4096
)

// Open reads which batches wait. What cannot be read is put aside and told of. A folder
// that cannot be used at all is told of too: what comes waits in memory then, and the
// folder is tried again with each batch.
func Open(o Options) *Queue {
	q := &Queue{
		dir: o.Dir, log: o.Log,
		limit: cmp.Or(o.Limit, DefaultLimit), memory: cmp.Or(o.Memory, DefaultMemory),
	}
	if q.log == nil {
		q.log = slog.New(slog.DiscardHandler)
	}
	err := os.MkdirAll(q.dir, 0o750)
	files, unread := os.ReadDir(q.dir)
	if err = errors.Join(err, unread); err != nil {
		q.log.Error("push: the folder of what waits cannot be used; points wait in memory only", "folder", q.dir, "error", err)
	}
	for _, f := range files {
		if strings.HasPrefix(f.Name(), ".") {
			_ = os.Remove(filepath.Join(q.dir, f.Name())) // begun and never finished, or it stays and hurts nobody
			continue
		}
		number, points, ok := parseName(f.Name())
		info, err := f.Info()
		if !ok || err != nil || !info.Mode().IsRegular() {
			continue
		}
		q.waiting = append(q.waiting, &entry{number: number, points: points, size: onDisk(info.Size())})
		q.stored += onDisk(info.Size())
		q.pending += points
	}
	slices.SortStableFunc(q.waiting, func(a, b *entry) int { return cmp.Compare(a.number, b.number) })
	q.recall()
	return q
}

// Waiting counts the points of the batches in a folder, which nobody needs to serve. It is 0
// for a folder that is no spool.
func Waiting(dir string) (points int) {
	files, err := os.ReadDir(dir)
	if err != nil {
		return 0
	}
	for _, f := range files {
		if _, n, ok := parseName(f.Name()); ok {
			points += n
		}
	}
	return points
}

func onDisk(size int64) int64 { return (size + block - 1) / block * block }

// recall finds out how far everything is safe: what the newest batch says, or what
// was noted after it. Where the newest cannot be read, what stood in it is not safe,
// whatever the note says.
func (q *Queue) recall() {
	q.marks = map[string]uint64{}
	harmed := uint64(math.MaxUint64)
	for k := len(q.waiting) - 1; k >= 0; k-- {
		s, err := q.load(q.waiting[k])
		if err == nil {
			q.last, q.marks = s.number, s.marks
			break
		}
		// It is the newest, so the journal tells it again.
		harmed = q.waiting[k].number
		q.putAside(q.waiting[k], err)
		q.remove(k)
	}
	b, err := readFile(filepath.Join(q.dir, marksFile))
	if errors.Is(err, fs.ErrNotExist) {
		return
	}
	var s *stored
	if err == nil {
		s, err = parse(b)
	}
	switch {
	case err != nil:
		q.log.Warn("push: the note of what was delivered cannot be read; some points will be sent twice, which changes nothing", "folder", q.dir, "error", err)
	case s.number >= harmed:
		_ = os.Remove(filepath.Join(q.dir, marksFile)) // it says too much
	case s.number >= q.last:
		q.last, q.marks = s.number, s.marks
	}
	if q.marks == nil {
		q.marks = map[string]uint64{}
	}
}

// load reads the file of a batch.
func (q *Queue) load(e *entry) (*stored, error) {
	b, err := readFile(filepath.Join(q.dir, batchName(e.number, e.points)))
	if err != nil {
		return nil, err
	}
	s, err := parse(b)
	if err == nil && (s.number != e.number || s.points != e.points) {
		err = fmt.Errorf("%w: it says of itself that it is another", errDamaged)
	}
	return s, err
}

// putAside gives a file another name, under which a person can look at it.
func (q *Queue) putAside(e *entry, why error) {
	name := filepath.Join(q.dir, batchName(e.number, e.points))
	q.log.Warn("push: points that waited cannot be read and are put aside", "file", name+".damaged", "points", e.points, "error", why)
	_ = os.Rename(name, name+".damaged") // if it cannot be, it will be found again at the next start
}

func readFile(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, mostFile+1))
	if err == nil && len(b) > mostFile {
		err = fmt.Errorf("%w: it has more than %d bytes", errDamaged, mostFile)
	}
	return b, err
}
