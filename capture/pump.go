package capture

import (
	"errors"
	"io"
	"syscall"
	"time"
)

// pump makes a reader that can only block into one that returns at each tick:
// standard input and the output of a command have no time limit on every
// system. Its goroutine ends with the reader.
type pump struct {
	from   io.ReadCloser
	blocks chan []byte
	rest   []byte // of the block being read
	err    error  // set before blocks is closed
	timer  *time.Timer
	done   chan struct{}
}

func newPump(from io.ReadCloser) *pump {
	p := &pump{from: from, blocks: make(chan []byte), timer: time.NewTimer(tick), done: make(chan struct{})}
	go p.run()
	return p
}

// run fills two blocks in turn. The channel holds none, so the reader has
// finished with one block when it takes the other.
func (p *pump) run() {
	defer close(p.blocks)
	var blocks [2][32 << 10]byte
	for i := 0; ; i ^= 1 {
		n, err := p.from.Read(blocks[i][:])
		if n > 0 {
			select {
			case p.blocks <- blocks[i][:n]:
			case <-p.done:
				return
			}
		}
		switch {
		case err == nil || errors.Is(err, syscall.EINTR):
		case errors.Is(err, syscall.EAGAIN): // whoever shares the descriptor lets nobody wait on it
			if !p.nap() {
				return
			}
		default:
			p.err = err
			return
		}
	}
}

// nap waits for bytes where the reader cannot; false if nobody wants them any more.
func (p *pump) nap() bool {
	select {
	case <-time.After(tick):
		return true
	case <-p.done:
		return false
	}
}

// waits says whether something is there to be read.
func (p *pump) waits() bool {
	if len(p.rest) == 0 {
		select {
		case p.rest = <-p.blocks: // nothing, once it is closed
		default:
		}
	}
	return len(p.rest) > 0
}

// Read gives what came within a tick.
func (p *pump) Read(b []byte) (int, error) {
	if len(p.rest) == 0 {
		p.timer.Reset(tick)
		select {
		case block, ok := <-p.blocks:
			if !ok {
				return 0, p.err
			}
			p.rest = block
		case <-p.timer.C:
			return 0, nil
		}
	}
	n := copy(b, p.rest)
	p.rest = p.rest[n:]
	return n, nil
}

// Close ends the goroutine, as soon as its Read returns: at once for a pipe; for
// a terminal when the next line is typed.
func (p *pump) Close() error {
	close(p.done)
	return p.from.Close()
}
