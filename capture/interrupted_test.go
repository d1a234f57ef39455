package capture

import (
	"os"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
)

// flaky is a file whose reads are interrupted, each in its own way.
type flaky struct{ errs []error }

func (f *flaky) SetReadDeadline(time.Time) error  { return nil }
func (f *flaky) SetWriteDeadline(time.Time) error { return nil }
func (f *flaky) Write(p []byte) (int, error)      { return len(p), nil }
func (f *flaky) Close() error                     { return nil }

func (f *flaky) Read(p []byte) (int, error) {
	if len(f.errs) == 0 {
		return copy(p, "13.7"), nil
	}
	err := f.errs[0]
	f.errs = f.errs[1:]
	return 0, &os.PathError{Op: "read", Path: "port", Err: err}
}

// A read that a signal interrupts, or that has nothing yet, is not the end of a
// source, nor of a meter that is asked, and what goes wrong in any other way is.
func TestInterruptedReadIsNoEnd(t *testing.T) {
	for name, read := range map[string]func(f *flaky, p []byte) (int, error){
		"a source": func(f *flaky, p []byte) (int, error) { return readTick(f, p) },
		"a meter": func(f *flaky, p []byte) (int, error) {
			return timedLine{f, "meter"}.read(p, time.Second)
		},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				f := &flaky{[]error{syscall.EINTR, syscall.EAGAIN, os.ErrDeadlineExceeded, syscall.EIO}}
				block := make([]byte, 16)
				for range 3 {
					n, err := read(f, block)
					assert.Zero(t, n)
					assert.NoError(t, err)
				}
				_, err := read(f, block)
				assert.ErrorIs(t, err, syscall.EIO)
				n, err := read(f, block)
				assert.Equal(t, 4, n)
				assert.NoError(t, err)
			})
		})
	}
}

// Standard input is shared with whoever started the program, who may have it wait for
// nobody; its end is another matter.
func TestStdinThatWaitsForNobodyHasNotEnded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := newPump(&flaky{[]error{syscall.EAGAIN, syscall.EINTR, syscall.EAGAIN}})
		block := make([]byte, 16)
		n := 0
		for range 10 {
			var err error
			if n, err = p.Read(block); n > 0 || !assert.NoError(t, err) {
				break
			}
		}
		assert.Equal(t, "13.7", string(block[:n]))
		assert.NoError(t, p.Close())

		p = newPump(&flaky{[]error{syscall.EAGAIN, syscall.EIO}})
		var err error
		for range 10 {
			if _, err = p.Read(block); err != nil {
				break
			}
		}
		assert.ErrorIs(t, err, syscall.EIO)

		p = newPump(&flaky{[]error{syscall.EAGAIN}})
		assert.NoError(t, p.Close(), "while it waits")
	})
}
