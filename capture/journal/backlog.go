package journal

import "amphora/capture"

// backlog holds the lines that are not yet safe on disk, ready to be written,
// oldest first and numbered without a hole. It is bounded: when the disk stays
// away too long the oldest lines go, and are counted.
type backlog struct {
	maxLines, maxBytes int

	data    []byte     // whole lines, back to back
	lines   []lineInfo // one a line; those before head are gone
	head    int
	first   uint64 // number of lines[head]
	dropped uint64 // lines given up for want of room
}

type lineInfo struct {
	end int // where the line ends in data
	day int // of its wall clock
}

func (b *backlog) len() int     { return len(b.lines) - b.head }
func (b *backlog) bytes() int   { return len(b.data) - b.start(b.head) }
func (b *backlog) next() uint64 { return b.first + uint64(b.len()) }

// crowded tells that half the room is taken: time to sync early, before lines
// have to go.
func (b *backlog) crowded() bool {
	return b.len() > b.maxLines/2 || b.bytes() > b.maxBytes/2
}

// start is where line i begins in data.
func (b *backlog) start(i int) int {
	if i == 0 {
		return 0
	}
	return b.lines[i-1].end
}

// push adds a frame under the next number and returns that.
func (b *backlog) push(f *capture.Frame) uint64 {
	seq := b.next()
	b.data = appendRecord(b.data, seq, f)
	b.lines = append(b.lines, lineInfo{end: len(b.data), day: dayOf(f.Wall)})
	for b.len() > 1 && (b.len() > b.maxLines || b.bytes() > b.maxBytes) {
		b.head++
		b.first++
		b.dropped++
	}
	b.compact()
	return seq
}

// release lets go of all lines up to and with number last.
func (b *backlog) release(last uint64) {
	if last < b.first {
		return
	}
	n := min(int(last-b.first)+1, b.len())
	b.head += n
	b.first += uint64(n)
	b.compact()
}

// keepRoom is what an empty backlog may keep for the next lines; a long outage
// gives the rest back.
const keepRoom = 1 << 20

// compact moves the lines to the front once more than half of the room is
// waste, so that each line is moved about once in its life.
func (b *backlog) compact() {
	gone := b.start(b.head)
	switch {
	case b.len() == 0 && cap(b.data) > keepRoom:
		b.data, b.lines, b.head = nil, nil, 0
		return
	case b.head <= len(b.lines)/2 && gone <= len(b.data)/2:
		return
	}
	b.data = b.data[:copy(b.data, b.data[gone:])]
	b.lines = b.lines[:copy(b.lines, b.lines[b.head:])]
	for i := range b.lines {
		b.lines[i].end -= gone
	}
	b.head = 0
}

// batch is a run of whole lines of one day.
type batch struct {
	data        []byte
	first, last uint64
	day         int
}

// copyFrom copies lines into buf, from number seq (or the oldest there is) up to
// limit bytes or the end of their day; at least one line, if there is any.
func (b *backlog) copyFrom(seq uint64, buf []byte, limit int) (batch, bool) {
	seq = max(seq, b.first)
	if seq >= b.next() {
		return batch{}, false
	}
	i := b.head + int(seq-b.first)
	from, day := b.start(i), b.lines[i].day
	end := i + 1
	for end < len(b.lines) && b.lines[end].day == day && b.lines[end].end-from <= limit {
		end++
	}
	return batch{
		data:  append(buf[:0], b.data[from:b.lines[end-1].end]...),
		first: seq,
		last:  seq + uint64(end-i) - 1,
		day:   day,
	}, true
}
