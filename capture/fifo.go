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
	wrote bool   // the present writer has written something
	first []byte // what was in it at the opening
	late  bool   // a writer was there before us
}

func openFIFO(path string) (Stream, error) {
	file, err := os.OpenFile(path, os.O_RDONLY|nonBlocking, 0) // do not wait for a writer
	if err != nil {
		return nil, err
	}
	f := &fifo{file: file, first: make([]byte, 64<<10)}
	n, err := readWithin(file, f.first, time.Millisecond)
	if err != nil && !errors.Is(err, io.EOF) {
		file.Close()
		return nil, err
	}
	f.first, f.late = f.first[:n], err == nil
	return f, nil
}

// midway is true where a writer is there already: whoever holds a pipe open while its
// readers come and go may be in the middle of a line, half of which the last one read.
func (f *fifo) midway() bool { return f.late }

// Read gives what a writer wrote. Without a writer it reads as ended at once.
func (f *fifo) Read(p []byte) (int, error) {
	n, err := copy(p, f.first), error(nil)
	if f.first = f.first[n:]; n == 0 {
		n, err = readTick(f.file, p)
	}
	if n > 0 {
		f.wrote = true
	}
	if !errors.Is(err, io.EOF) {
		return n, err
	}
	if f.wrote {
		f.wrote = false
		return n, Remark{Text: WriterGone + "; waiting for the next", Anew: true}
	}
	if !standsUnder(f.file.Name(), f.file) { // writers find another
		return n, errors.New("the pipe is gone; removed, or made anew")
	}
	time.Sleep(tick)
	return n, nil
}

func (f *fifo) Close() error   { return f.file.Close() }
func (f *fifo) String() string { return "pipe " + f.file.Name() }
