package capture

import (
	"errors"
	"io"
	"os"
	"time"
)

// fifo is a named pipe. It stays open while writers come and go, so what the
// next one writes is not lost.
type fifo struct {
	file  *os.File
	wrote bool // the present writer has written something
}

func openFIFO(path string) (Stream, error) {
	file, err := os.OpenFile(path, os.O_RDONLY|nonBlocking, 0) // do not wait for a writer
	if err != nil {
		return nil, err
	}
	return &fifo{file: file}, nil
}

// Read gives what a writer wrote. Without a writer it reads as ended at once.
func (f *fifo) Read(p []byte) (int, error) {
	n, err := readTick(f.file, p)
	if n > 0 {
		f.wrote = true
	}
	if !errors.Is(err, io.EOF) {
		return n, err
	}
	if f.wrote {
		f.wrote = false
		return n, Remark{Text: "the writer closed the pipe; waiting for the next", Anew: true}
	}
	time.Sleep(tick)
	return n, nil
}

func (f *fifo) Close() error   { return f.file.Close() }
func (f *fifo) String() string { return "pipe " + f.file.Name() }
