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
	next = 1
	if len(segs) > 0 {
		next = j.recoverSegment(name, segs[len(segs)-1])
	}
	return j.finishUnfinished(name, next), nil
}

// recoverSegment repairs the newest segment and returns the number behind it.
func (j *Journal) recoverSegment(channel string, seg Segment) (next uint64) {
	t, err := findTail(j.opt.FS, &seg)
	switch {
	case err != nil:
		t.next += j.mostRecords(seg)
		j.opt.Log.Warn("journal cannot read its newest segment to the end; numbers go on behind any that it may hold",
			"channel", channel, "file", seg.Path, "next", t.next, "error", err)
	case t.length > 0 && !seg.Packed:
		j.setAside(channel, seg, t)
	}
	return t.next
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

// finishUnfinished gives its name to a segment that never got it: a kill while the
// disk took its time. That holds for one that begins behind all others; one that repeats
// lines of the one before goes, as do halves of other files. It returns the number
// of the next record, which was next without it.
func (j *Journal) finishUnfinished(channel string, next uint64) uint64 {
	folder := channelDir(j.dir, channel)
	names, err := j.opt.FS.ReadDir(folder)
	if err != nil {
		return next // there is no folder yet
	}
	for _, name := range names {
		name, unfinished := strings.CutSuffix(name, newEnd)
		if !unfinished {
			continue
		}
		path := filepath.Join(folder, name)
		seg, is := parseSegmentName(name)
		if is && !seg.Packed && seg.First >= next && j.finish(path, seg) {
			seg.Path = path
			next = j.recoverSegment(channel, seg)
			continue
		}
		if err := j.opt.FS.Remove(path + newEnd); err != nil {
			j.opt.Log.Warn("journal cannot remove an unfinished file", "file", name+newEnd, "error", err)
		}
	}
	return next
}

// finish gives a segment its name, if there is a record in it and the disk lets it.
// Nobody was told that they are safe, so the name need not be either.
func (j *Journal) finish(path string, seg Segment) bool {
	seg.Path = path + newEnd
	if t, err := findTail(j.opt.FS, &seg); err != nil || !t.records {
		return false
	}
	f, err := j.opt.FS.Edit(seg.Path)
	if err != nil {
		return false
	}
	err = f.Sync()
	f.Close()
	if err != nil || j.opt.FS.Rename(seg.Path, path) != nil {
		return false
	}
	_ = j.opt.FS.SyncDir(filepath.Dir(path))
	return true
}

// tail is what stands behind the last good record of a segment.
type tail struct {
	offset, length int64
	next           uint64 // the next number to give out
	records        bool   // there is a good one
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
			t.offset, t.records = lines.offset, true
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
