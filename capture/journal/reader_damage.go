package journal

import (
	"bytes"
	"fmt"
)

// How the reader passes over what is no record, and tells of it.

// refuse notes a line that is no record of this segment.
func (r *Reader) refuse(line []byte) {
	offset, length := r.lines.lineOffset, r.lines.offset-r.lines.lineOffset
	atEnd := r.lines.unfinished && r.lines.ended && r.lines.r == r.lines.w
	switch {
	case atEnd && r.newest():
		r.unfinished = length
		if bytes.IndexByte(line, 0) < 0 {
			return
		}
		r.note(offset, length, ErrTorn) // a power cut, and no writer at work
	case atEnd:
		r.note(offset, length, ErrTorn)
	case bytes.HasPrefix(line, []byte(lostFrameMark)):
		r.note(offset, 0, fmt.Errorf("%w: %s", ErrFrame, line[len(lostFrameMark):]))
	case offset == 0:
		r.note(offset, length, ErrHeader)
	default:
		r.note(offset, length, ErrChecksum)
	}
}

// note adds bytes to the damage that is being passed over. Its first cause
// stands for all of it.
func (r *Reader) note(offset, length int64, cause error) {
	if r.bad.Cause == nil {
		r.bad = Damage{File: r.segs[0].Path, Offset: offset, Cause: cause}
	}
	r.bad.Length += length
}

// settle reports what was passed over, now that seq is the next good number.
func (r *Reader) settle(seq uint64) {
	if r.bad.Cause == nil && seq <= r.want {
		return
	}
	d := r.bad
	r.bad = Damage{}
	if seq > r.want {
		d.First, d.Lost = r.want, seq-r.want
		r.want = seq
		if d.Cause == nil {
			d.File, d.Offset, d.Cause = r.segs[0].Path, r.lines.lineOffset, ErrMissing
		}
	}
	if seq < r.from || seq == r.from && d.Lost > 0 {
		return // it was before the place where reading is to begin
	}
	if r.OnDamage != nil {
		told := d
		r.OnDamage(&told)
	}
}
