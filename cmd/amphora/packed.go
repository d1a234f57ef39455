package main

import (
	"bytes"
	"compress/bzip2"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"strings"

	"amphora/decoders"

	"github.com/klauspost/compress/zstd"
)

// packings are what logs are packed with once they have been rotated: how such a file
// begins, and what its name ends in. Archives, which may hold several files, are none.
var packings = []struct {
	name, start, end string
	open             func(io.Reader) (io.Reader, error)
}{
	{"gzip", "\x1f\x8b\x08", ".gz", func(in io.Reader) (io.Reader, error) { return gzip.NewReader(in) }},
	{"bzip2", "BZh", ".bz2", func(in io.Reader) (io.Reader, error) { return bzip2.NewReader(in), nil }},
	{"zstd", "\x28\xb5\x2f\xfd", ".zst", func(in io.Reader) (io.Reader, error) {
		return zstd.NewReader(in, zstd.WithDecoderConcurrency(1), zstd.WithDecoderLowmem(true), zstd.WithDecoderMaxWindow(longestWindow))
	}},
}

// longestWindow bounds what a packed log may ask to be kept in memory, bytes; the usual
// tool goes no further unless it is told to.
const longestWindow = 8 << 20

// unpacked reads the text of a log that begins so, and is nil where it is not packed.
func unpacked(start []byte, rest io.Reader) (io.Reader, error) {
	for _, p := range packings {
		if !bytes.HasPrefix(start, []byte(p.start)) {
			continue
		}
		in, err := p.open(io.MultiReader(bytes.NewReader(start), rest))
		if err != nil {
			return nil, fmt.Errorf("its %s data is damaged from the beginning, and %w: %w", p.name, decoders.ErrUndecodable, err)
		}
		return &unpacking{p.name, in}, nil
	}
	return nil, nil
}

// unpacking says of an error that it is one of the packing.
type unpacking struct {
	name string
	in   io.Reader
}

func (u *unpacking) Read(b []byte) (int, error) {
	n, err := u.in.Read(b)
	if err != nil && !errors.Is(err, io.EOF) {
		err = fmt.Errorf("its %s data is cut short or damaged (%w): unpack it as far as that goes, and give that", u.name, err)
	}
	return n, err
}

// plainName is a log's name without what packing it has put behind.
func plainName(file string) string {
	for _, p := range packings {
		if name, was := strings.CutSuffix(file, p.end); was {
			return name
		}
	}
	return file
}
