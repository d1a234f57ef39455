package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What fills a register is no reading, in whichever way a row is read.
func TestFullRegisters(t *testing.T) {
	for _, setting := range []string{
		"columns separator=comma width=3 time=1:s voltage=2:mV current=3:mA",
		"columns separator=comma time=1:s voltage=2:mV current=3:mA:negate",
	} {
		s := streamOf(t, setting)
		for k, c := range []struct {
			row string
			err error
		}{
			{"0,65535,65535", ErrOverload},
			{"1,12100,0", nil},
			{"2,12100,65535", ErrOverload},
			{"3,32767,0", ErrOverload},
			{"4,12100,-32768", ErrOverload},
			{"5,32766,-32767", nil},
			{"6,32768,65534", nil},
		} {
			if _, err := s.Line([]byte(c.row), float64(k), 0); c.err == nil {
				assert.NoError(t, err, c.row)
			} else {
				assert.Equal(t, c.err, err, c.row)
			}
		}
	}
	s := streamOf(t, "columns separator=comma width=3 time=1:s voltage=2:V current=3:A")
	_, err := s.Line([]byte("0,32.767,65.535"), 0, 0)
	assert.NoError(t, err, "nobody counts amperes so")
}

// Nor is it where rows come in a block.
func TestFullRegistersInABlock(t *testing.T) {
	var text []byte
	for k := range 2000 {
		text = fmt.Appendf(text, "%05d,12%03d,%05d\n", k, k%1000, map[bool]int{true: 65535, false: 30000 + k}[k%40 == 39])
	}
	setting := "columns separator=comma width=3 time=1:s voltage=2:mV current=3:mA"
	requireSame(t, setting, text, 100)
	for _, now := range byBlock(streamOf(t, setting), text, 100) {
		assert.True(t, now.err != nil || now.sample.Amps < 33, now.sample.Line)
	}
}
