package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
)

// recoverChannel makes a channel ready for writing after any kind of end and
// returns the number of its next record. What cannot be repaired, as on a
// read-only disk, stops nothing: the next record goes into a new segment anyway.
func (j *Journal) recoverChannel(name string) (next uint64, err error) {
	segs, err := listSegments(j.opt.FS, j.dir, name)
	if err != nil {
		return 0, err
	}
	j.removeUnfinished(channelDir(j.dir, name))
	if len(segs) == 0 {
		return 1, nil
	}
	seg := segs[len(segs)-1]
	t, err := findTail(j.opt.FS, &seg)
	switch {
	case err != nil:
		t.next += j.mostRecords(seg)
		j.opt.Log.Warn("journal cannot read its newest segment to the end; numbers go on behind any that it may hold",
			"channel", name, "file", seg.Path, "next", t.next, "error", err)
	case t.length > 0 && !seg.Packed:
		j.setAside(name, seg, t)
	}
	return t.next, nil
}

// mostRecords is more than a segment that cannot be read can hold.
func (j *Journal) mostRecords(seg Segment) uint64 {
	size, err := j.opt.FS.Size(seg.Path)
	if err != nil {
		size = j.opt.SegmentBytes
	}
	if seg.Packed {
		size *= 100 // text of one short line over and over shrinks so far
	}
	return uint64(size)/minLine + 1
}

// removeUnfinished removes segments that never got their name. Nobody was told
// that their records are safe, and those before them are in the segment before.
func (j *Journal) removeUnfinished(folder string) {
	names, err := j.opt.FS.ReadDir(folder)
	if err != nil {
		return // the listing that follows tells
	}
	for _, name := range names {
		if strings.HasSuffix(name, newEnd) {
			if err := j.opt.FS.Remove(filepath.Join(folder, name)); err != nil {
				j.opt.Log.Warn("journal cannot remove an unfinished file", "file", name, "error", err)
			}
		}
	}
}

// tail is what stands behind the last good record of a segment.
type tail struct {
	offset, length int64
	next           uint64 // the next number to give out
}

// findTail looks for the last good record. Lines behind it had numbers too,
// which are not given out again, so that a reader names them as lost. With an
// error, next is behind what could be read.
func findTail(fsys FS, seg *Segment) (tail, error) {
	t := tail{next: seg.First}
	text, err := openText(fsys, seg)
	if err != nil {
		return t, err
	}
	defer text.Close()
	var (
		p     parser
		rec   Record
		lines lineReader
		hit   uint64 // lines behind the last good one
	)
	lines.reset(text)
	for {
		line, err := lines.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return t, err
		}
		isHeader := false
		if lines.lineOffset == 0 {
			_, isHeader = parseHeader(line)
		}
		_, isRecord := p.find(line, &rec)
		switch {
		case lines.unfinished && bytes.Trim(line, "\x00") == nil:
			// Zeros, as a power cut leaves them, are no line.
		case lines.unfinished:
			hit++
		case isRecord && rec.Seq >= seg.First:
			t.next, hit = max(t.next, rec.Seq+1), 0
			t.offset = lines.offset
		case isHeader:
			t.offset = lines.offset
		default:
			hit++
		}
	}
	t.length = lines.offset - t.offset
	t.next += hit
	if t.next == seg.First {
		t.next++ // the next segment must not get this one's name
	}
	return t, nil
}

// setAside moves the damaged tail of a segment into a file beside it and warns
// once.
func (j *Journal) setAside(channel string, seg Segment, t tail) {
	aside := fmt.Sprintf("%s%s%d", seg.Path, tornMiddle, t.offset)
	err := copyTail(j.opt.FS, seg.Path, aside, t.offset)
	if err == nil {
		err = cut(j.opt.FS, seg.Path, t.offset)
	}
	if err != nil {
		j.opt.Log.Warn("journal has a damaged tail that cannot be set aside; it stays where it is",
			"channel", channel, "file", seg.Path, "byte", t.offset, "bytes", t.length, "error", err)
		return
	}
	j.opt.Log.Warn("journal had a damaged tail; it was set aside",
		"channel", channel, "file", seg.Path, "byte", t.offset, "bytes", t.length, "aside", aside)
}

func copyTail(fsys FS, path, aside string, offset int64) error {
	src, err := fsys.Open(path)
	if err != nil {
		return err
	}
	defer src.Close()
	if _, err := io.CopyN(io.Discard, src, offset); err != nil {
		return err
	}
	return writeWhole(fsys, aside, func(dst File) error {
		_, err := io.Copy(io.NewOffsetWriter(dst, 0), src)
		return err
	})
}

func cut(fsys FS, path string, size int64) error {
	f, err := fsys.Edit(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Truncate(size); err != nil {
		return err
	}
	return f.Sync()
}
