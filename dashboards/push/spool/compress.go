package spool

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"sync"
)

// writers are kept, since one takes most of a megabyte.
var writers = sync.Pool{New: func() any { return gzip.NewWriter(nil) }}

// Compress packs the text of a batch with gzip.
func Compress(text []byte) []byte {
	var b bytes.Buffer
	w := writers.Get().(*gzip.Writer)
	defer writers.Put(w)
	w.Reset(&b)
	_, _ = w.Write(text) // memory takes everything
	_ = w.Close()
	return b.Bytes()
}

// mostText bounds what a batch may hold, in bytes.
const mostText = 64 << 20

// Expand unpacks the body of a batch.
func Expand(body []byte) ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return nil, fmt.Errorf("unpack a batch: %w", err)
	}
	text, err := io.ReadAll(io.LimitReader(r, mostText))
	if err != nil {
		return nil, fmt.Errorf("unpack a batch: %w", err)
	}
	return text, nil
}
