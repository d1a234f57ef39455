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

func (f *flaky) SetReadDeadline(time.Time) error { return nil }

func (f *flaky) Read(p []byte) (int, error) {
	if len(f.errs) == 0 {
		return copy(p, "13.7"), nil
	}
	err := f.errs[0]
	f.errs = f.errs[1:]
	return 0, &os.PathError{Op: "read", Path: "port", Err: err}
}

// A read that a signal interrupts, or that has nothing yet, is not the end of a
// source, and what goes wrong in any other way is.
func TestInterruptedReadIsNoEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := &flaky{[]error{syscall.EINTR, syscall.EAGAIN, os.ErrDeadlineExceeded, syscall.EIO}}
		block := make([]byte, 16)
		for range 3 {
			n, err := readTick(f, block)
			assert.Zero(t, n)
			assert.NoError(t, err)
		}
		_, err := readTick(f, block)
		assert.ErrorIs(t, err, syscall.EIO)
		n, err := readTick(f, block)
		assert.Equal(t, 4, n)
		assert.NoError(t, err)
	})
}
