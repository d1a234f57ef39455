package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// Reader gives the records of one channel in order, across its segments. It may
// run while a writer is at work; it sees at least what was written when it
// reached the newest segment.
//
//	for r.Next() {
//		use(r.Record())
//	}
//	return r.Err()
//
// Damage is passed over and told to OnDamage. No record is given twice and none
// that was not written.
type Reader struct {
	// OnDamage, if set before the first Next, is told of each damage. The value
	// is its own.
	OnDamage func(*Damage)

	fsys FS
	segs []Segment // those still to come; segs[0] is being read if open
	from uint64
	want uint64 // number of the next record, if nothing is lost

	open   io.Closer
	lines  lineReader
	parser parser
	rec    Record
	bad    Damage // lines since the last good one; Cause is nil if there are none

	unfinished int64
	err        error
}

// NewReader reads the named channel in the data folder dir, beginning with the
// record numbered from, or the first that is there. A channel without files
// gives no records.
func NewReader(dir, channel string, from uint64) (*Reader, error) {
	return newReader(osFS{}, dir, channel, from)
}

func newReader(fsys FS, dir, channel string, from uint64) (*Reader, error) {
	segs, err := listSegments(fsys, dir, channel)
	if err != nil {
		return nil, err
	}
	for len(segs) > 1 && segs[1].First <= from {
		segs = segs[1:] // all of the first are older
	}
	return &Reader{fsys: fsys, segs: segs, from: from}, nil
}

// Next goes to the next record and tells whether there is one.
func (r *Reader) Next() bool {
	for r.err == nil {
		if r.open == nil && !r.openSegment() {
			return false
		}
		line, err := r.lines.next()
		switch {
		case errors.Is(err, io.EOF):
			r.endSegment()
		case err != nil:
			r.note(r.lines.offset, 0, fmt.Errorf("%w: %w", ErrRead, err))
			r.endSegment()
		case r.accept(line):
			return true
		}
	}
	return false
}

// Record is the current record. Its Text is valid until the next call of Next.
func (r *Reader) Record() Record { return r.rec }

// Err is what ended the reading early, nil at the end of the journal.
func (r *Reader) Err() error { return r.err }

// Unfinished is the length in bytes of a last line without an end in the newest
// segment: a writer is at work, or was cut off; opening the channel for writing
// sets it aside. It is known once Next has returned false.
func (r *Reader) Unfinished() int64 { return r.unfinished }

// Close frees the file. Reading to the end does it too.
func (r *Reader) Close() error {
	r.segs = nil
	return r.closeFile()
}

func (r *Reader) closeFile() error {
	if r.open == nil {
		return nil
	}
	err := r.open.Close()
	r.open = nil
	return err
}

// openSegment opens the first of segs that can be opened.
func (r *Reader) openSegment() bool {
	for ; len(r.segs) > 0; r.segs = r.segs[1:] {
		seg := &r.segs[0]
		r.want = max(r.want, seg.First)
		r.rec.BootID = ""
		text, err := openText(r.fsys, seg)
		if err == nil {
			r.open = text
			r.lines.reset(text)
			return true
		}
		r.note(0, 0, fmt.Errorf("%w: %w", ErrRead, err))
		r.settle(r.end())
	}
	return false
}

// end is the number behind the last record that the segment owns, or the next
// one wanted if it is the newest, whose end nobody knows.
func (r *Reader) end() uint64 {
	if r.newest() {
		return r.want
	}
	return r.segs[0].Last + 1
}

func (r *Reader) newest() bool { return len(r.segs) == 1 }

func (r *Reader) endSegment() {
	r.settle(r.end())
	_ = r.closeFile() // it was only read
	r.segs = r.segs[1:]
}

// accept looks at one line and tells whether it is a record to give out.
func (r *Reader) accept(line []byte) bool {
	offset := r.lines.lineOffset
	if offset == 0 && r.acceptHeader(line) {
		return false
	}
	skipped, ok := r.parser.find(line, &r.rec)
	if !ok || r.rec.Seq < r.segs[0].First {
		r.refuse(line)
		return false
	}
	if skipped > 0 {
		r.note(offset, int64(skipped), ErrChecksum)
	}
	seq := r.rec.Seq
	if seq < r.want || !r.newest() && seq > r.segs[0].Last {
		return false // the next segment repeats it, or it was given out already
	}
	if r.lines.unfinished {
		// Only its end is missing, but a writer cuts such a line off.
		r.refuse(line)
		return false
	}
	r.settle(seq)
	r.want = seq + 1
	return seq >= r.from
}

func (r *Reader) acceptHeader(line []byte) bool {
	h, ok := parseHeader(line)
	if !ok {
		return false
	}
	if h.version != formatVersion {
		r.err = fmt.Errorf("journal %s: %w: version %d, this one reads %d", r.segs[0].Path, ErrVersion, h.version, formatVersion)
	}
	r.rec.BootID = h.bootID
	return true
}

// openText opens a segment's text, compressed or not. A segment may have been
// compressed since it was listed.
func openText(fsys FS, seg *Segment) (io.ReadCloser, error) {
	f, err := fsys.Open(seg.Path)
	if errors.Is(err, fs.ErrNotExist) && !seg.Packed {
		seg.Path, seg.Packed = packedPath(seg.Path), true
		f, err = fsys.Open(seg.Path)
	}
	if err != nil {
		return nil, err
	}
	if seg.Packed {
		return newUnpacker(f), nil
	}
	return f, nil
}
