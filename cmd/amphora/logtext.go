package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"amphora/capture"
	"amphora/decoders"
)

// What a decoder is fitted on.
const (
	blockSize = 256 << 10 // bytes; also what is read at a time
	fitLines  = 4000      // that may be readings, at most
	fitBlocks = 16        // read at most, where the first ones hold hardly a row
	fitFew    = 200       // rows are hardly any
)

// logText is a log as UTF-8, unpacked: its first block, and a way to what follows.
type logText struct {
	first []byte // of blockSize, less if the log is shorter, more where it begins with much noise
	rest  io.Reader
	file  io.Closer // nil for standard input, which is not ours to close
}

func openLog(name string, in io.Reader) (*logText, error) {
	l := &logText{}
	if name != stdinNamed {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		in, l.file = f, f
		if info, err := f.Stat(); err == nil && info.IsDir() {
			f.Close()
			return nil, fmt.Errorf("%s is a folder; name a log in it", name)
		}
	}
	if err := l.begin(in); err != nil {
		l.Close()
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	return l, nil
}

// begin reads the first block, which tells how it is packed and the encoding.
func (l *logText) begin(in io.Reader) error {
	raw, err := firstOf(in)
	if err != nil {
		return err
	}
	if text, err := unpacked(raw, in); err != nil {
		return err
	} else if text != nil {
		in = text
		if raw, err = firstOf(in); err != nil {
			return err
		}
	}
	l.first, l.rest = raw, in
	if e := decoders.Text(raw); e != decoders.UTF8 {
		l.rest = e.Reader(io.MultiReader(bytes.NewReader(raw), in))
		if l.first, err = firstOf(l.rest); err != nil {
			return err
		}
	}
	if decoders.Rolled(l.first) {
		l.rest = decoders.Unroll(io.MultiReader(bytes.NewReader(l.first), l.rest))
		if l.first, err = firstOf(l.rest); err != nil {
			return err
		}
	}
	return l.beyondNoise()
}

// beyondNoise reads on where banners and menus fill the first block.
func (l *logText) beyondNoise() error {
	for n := 1; n < fitBlocks && len(l.first) == n*blockSize && rows(l.first) < fitFew && isText(l.first); n++ {
		more, err := firstOf(l.rest)
		if err != nil {
			return err
		}
		l.first = append(l.first, more...)
	}
	return nil
}

// rows counts the lines that may be readings, up to a few.
func rows(block []byte) (n int) {
	for _, line := range firstLines(block, math.MaxInt, fitFew) {
		if decoders.MayBeRow(line) {
			n++
		}
	}
	return n
}

// firstOf reads a block, or what there is.
func firstOf(in io.Reader) ([]byte, error) {
	block := make([]byte, blockSize)
	n, err := io.ReadFull(in, block)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = nil
	}
	return block[:n], err
}

func (l *logText) Close() error {
	if l.file == nil {
		return nil
	}
	return l.file.Close()
}

// isText tells text, also with noise and with the marks that some meters frame
// their lines by, from a picture or a program.
func isText(block []byte) bool {
	const frame = "\x02\x03\x04\t\n\v\f\r\x1b"
	odd := 0
	for i := 0; i < len(block); i++ {
		switch c := block[i]; {
		case c >= ' ':
		case c == 0:
			n := len(block[i:]) - len(bytes.TrimLeft(block[i:], "\x00"))
			if !padding(block, i, i+n) {
				odd += n
			}
			i += n - 1
		case strings.IndexByte(frame, c) < 0:
			odd++
		}
	}
	return odd*30 <= len(block)
}

// padding tells NULs that fill up a line, or what a file was to have when the power failed,
// from those within the numbers of a program.
func padding(block []byte, begin, end int) bool {
	ends := func(at int) bool { return at < 0 || at == len(block) || block[at] == '\n' || block[at] == '\r' }
	return end-begin < len(block) && (ends(begin-1) || ends(end))
}

// firstLines are the whole lines that a block begins with, no more than so many, of which
// no more than so many may be readings.
func firstLines(block []byte, most, readings int) [][]byte {
	const piece = 16 << 10 // bytes: a block holds many more lines than are mostly asked for
	var s capture.Splitter
	lines := make([][]byte, 0, min(most, readings+readings/8)) // and some that are none
	full := func() bool { return len(lines) == most || readings == 0 }
	keep := func(line []byte, f capture.Flags) {
		if full() {
			return
		}
		if decoders.MayBeRow(line) {
			readings--
		}
		if f != 0 {
			line = bytes.Clone(line) // it lies in the splitter, not in the block
		}
		lines = append(lines, line)
	}
	for rest := block; len(rest) > 0 && !full(); {
		n := 1 + bytes.LastIndexByte(rest[:min(piece, len(rest))], '\n')
		if n == 0 {
			n = len(rest)
		}
		s.Feed(rest[:n], keep)
		rest = rest[n:]
	}
	if len(block)%blockSize != 0 {
		s.Flush(keep)
	}
	return lines
}
