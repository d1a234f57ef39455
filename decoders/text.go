package decoders

import (
	"bytes"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// Encoding is how a file's text is written as bytes.
type Encoding int

// The encodings. UTF-8 and Latin-1 need nothing done: what matters in a line
// is ASCII but for signs of units, which are known in both.
const (
	UTF8 Encoding = iota
	UTF8Mark
	UTF16LE
	UTF16BE
)

// Text tells the encoding from a file's first bytes (a few hundred are
// plenty): by its mark, else by where the NULs stand.
func Text(prefix []byte) Encoding {
	switch {
	case bytes.HasPrefix(prefix, []byte{0xef, 0xbb, 0xbf}):
		return UTF8Mark
	case bytes.HasPrefix(prefix, []byte{0xff, 0xfe}):
		return UTF16LE
	case bytes.HasPrefix(prefix, []byte{0xfe, 0xff}):
		return UTF16BE
	}
	if bytes.IndexByte(prefix, 0) < 0 {
		return UTF8
	}
	even, odd := 0, 0
	for i, c := range prefix {
		if c == 0 && i%2 == 0 {
			even++
		} else if c == 0 {
			odd++
		}
	}
	switch half := len(prefix) / 2; {
	case half >= 4 && odd > half*3/4 && even < half/8:
		return UTF16LE
	case half >= 4 && even > half*3/4 && odd < half/8:
		return UTF16BE
	}
	return UTF8
}

// Reader gives r's text as UTF-8 without a mark. r begins with the bytes that
// Text was shown.
func (e Encoding) Reader(r io.Reader) io.Reader {
	switch e {
	case UTF8Mark:
		return &skipper{r: r, skip: 3}
	case UTF16LE, UTF16BE:
		return &wide{r: r, low: e == UTF16LE}
	}
	return r
}

// skipper leaves out the first bytes.
type skipper struct {
	r    io.Reader
	skip int
}

func (s *skipper) Read(p []byte) (int, error) {
	for s.skip > 0 {
		var b [3]byte
		n, err := s.r.Read(b[:s.skip])
		s.skip -= n
		if err != nil {
			return 0, err
		}
	}
	return s.r.Read(p)
}

// wide turns UTF-16 into UTF-8.
type wide struct {
	r    io.Reader
	low  bool // low byte first
	in   [4096]byte
	have int    // bytes of in not yet turned
	out  []byte // turned and not yet read
	high rune   // first half of a surrogate pair
	err  error
}

func (w *wide) Read(p []byte) (int, error) {
	for len(w.out) == 0 {
		if w.err != nil {
			return 0, w.err
		}
		n, err := w.r.Read(w.in[w.have:])
		w.have, w.err = w.have+n, err
		w.turn()
	}
	n := copy(p, w.out)
	w.out = w.out[n:]
	return n, nil
}

func (w *wide) turn() {
	w.out = w.out[:0]
	i := 0
	for ; i+1 < w.have; i += 2 {
		c := rune(w.in[i])<<8 | rune(w.in[i+1])
		if w.low {
			c = rune(w.in[i+1])<<8 | rune(w.in[i])
		}
		switch {
		case c == 0xfeff: // the mark
		case w.high != 0:
			w.out = utf8.AppendRune(w.out, utf16.DecodeRune(w.high, c))
			w.high = 0
		case c >= 0xd800 && c < 0xdc00:
			w.high = c
		default:
			w.out = utf8.AppendRune(w.out, c)
		}
	}
	w.have = copy(w.in[:], w.in[i:w.have])
}
