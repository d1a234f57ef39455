package decoders

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What a log says of the time between its rows, and what only looks like that.
func TestStatedInterval(t *testing.T) {
	for remark, want := range map[string]float64{
		"# interval: 10 s":               10,
		"# sampling every 2 seconds":     2,
		"rate 0.5 Hz":                    2,
		"# interval: 0 s, later 5 s":     5,
		"# interval (min): 2":            120,
		"# alle 5 s: Volt":               5,
		"Intervall;10":                   10,
		"# logging: 12 V battery":        0,
		"# logging of 2 batteries":       0,
		"# 17 rows, battery of 12 volts": 0,
	} {
		s, _ := StatedInterval([][]byte{[]byte(remark)})
		assert.Equal(t, want, s, remark)
	}
}
