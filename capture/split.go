package capture

import "bytes"

// maxLine is the longest line that is handed on in one piece, in bytes. No
// meter writes a line near it: what is longer is noise, or a source that never
// ends a line, and must not fill the memory.
const maxLine = 4096

// Splitter turns blocks of bytes into lines. LF, CR LF and CR alone each end
// one line, all other bytes pass as they are, and how the stream was cut into
// blocks changes nothing. The zero value is ready; it takes the first line to
// be whole, which is right for a file read from its start.
//
// A line longer than maxLine is given in pieces of maxLine bytes, so that no
// byte is lost: each is flagged Overlong, and all but the first Fragment too.
//
// A line is emitted as soon as its CR is seen: a meter that ends its lines in
// CR alone would otherwise be one reading late for ever. The LF that may come
// next, perhaps in another block, is then dropped.
type Splitter struct {
	held    []byte // the beginning of a line whose end has not come yet
	flags   Flags  // of the line being held
	afterCR bool   // the last byte was a CR: an LF next belongs to it
}

// begin says that another stream starts here, with a whole line. What was held
// is forgotten; Flush first to keep it.
func (s *Splitter) begin() {
	s.held, s.flags, s.afterCR = s.held[:0], 0, false
}

// join is begin for a stream that is entered at an unknown place, as a port just
// opened: what comes before the next line end may be half a line, and is
// flagged Fragment.
func (s *Splitter) join() {
	s.begin()
	s.flags = Fragment
}

// Between reports whether the next byte begins a line, so that whole lines may
// be taken from a block by other means before Feed sees the rest.
func (s *Splitter) Between() bool { return len(s.held) == 0 && !s.afterCR && s.flags == 0 }

// Feed splits one block. The line given to emit is valid until emit returns:
// it lies in the block or in the splitter. Nothing is allocated for a line.
func (s *Splitter) Feed(block []byte, emit func(line []byte, flags Flags)) {
	if len(block) == 0 {
		return
	}
	if s.afterCR && block[0] == '\n' {
		block = block[1:]
	}
	s.afterCR = false

	// The next LF and the next CR are both remembered, so each byte is looked
	// at twice at most, even in a stream that has only one of the two.
	lf, cr := indexFrom(block, 0, '\n'), indexFrom(block, 0, '\r')
	start := 0
	for start < len(block) {
		end := min(lf, cr)
		if end == len(block) {
			s.hold(block[start:], emit)
			return
		}
		s.end(block[start:end], emit)
		start = end + 1
		if end == cr {
			s.afterCR = start == len(block)
			if lf == start && !s.afterCR {
				start++
			}
			cr = indexFrom(block, start, '\r')
		}
		if lf < start {
			lf = indexFrom(block, start, '\n')
		}
	}
}

// Flush gives away a line that has no end: at the end of the stream, or when
// the source has been quiet for so long that no more can be expected. It is
// flagged Fragment, and so is its rest, should one come after all.
func (s *Splitter) Flush(emit func(line []byte, flags Flags)) {
	if len(s.held) == 0 {
		return
	}
	emit(s.held, s.flags|Fragment)
	s.held, s.flags = s.held[:0], s.flags|Fragment
}

// end emits the line that ends with this part.
func (s *Splitter) end(part []byte, emit func([]byte, Flags)) {
	if len(s.held) == 0 && len(part) <= maxLine {
		flags := s.flags
		s.flags = 0
		emit(part, flags)
		return
	}
	s.hold(part, emit)
	line, flags := s.held, s.flags
	s.held, s.flags = s.held[:0], 0
	emit(line, flags)
}

// hold keeps a part of a line, and gives away what exceeds the limit.
func (s *Splitter) hold(part []byte, emit func([]byte, Flags)) {
	for len(s.held)+len(part) > maxLine {
		room := maxLine - len(s.held)
		piece := append(s.held, part[:room]...)
		part = part[room:]
		flags := s.flags | Overlong
		s.held, s.flags = piece[:0], Overlong|Fragment
		emit(piece, flags)
	}
	s.held = append(s.held, part...)
}

// indexFrom is where b stands next in the block at or after from, or the
// block's length.
func indexFrom(block []byte, from int, b byte) int {
	if i := bytes.IndexByte(block[from:], b); i >= 0 {
		return from + i
	}
	return len(block)
}
