package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestReadingsThatAreNoneAreRefusedByName(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name            string
		at, volts, amps float64
		reason          string
	}{
		{"good", 0, 12.6, 5, ""},
		{"zero is a reading", 0, 0, 0, ""},
		{"negative too", -10, -12.6, -300, ""},
		{"no time", nan, 12.6, 5, reasonNoTime},
		{"time without end", inf, 12.6, 5, reasonNoTime},
		{"nothing measured", 0, nan, nan, reasonBlank},
		{"no volts", 0, nan, 5, reasonBlankVolts},
		{"no amps", 0, 12.6, nan, reasonBlankAmps},
		{"an instrument's overload number in single precision", 0, 12.6, 3.4e38, reasonOverload},
		{"the overload number of IEEE 488.2 instruments", 0, 9.9e37, 5, reasonOverload},
		{"negative overload", 0, 12.6, -9.9e37, reasonOverload},
		{"infinite", 0, inf, 5, reasonOverload},
		{"more than any bench has", 0, 2000, 5, reasonOverload},
	} {
		s := Sample{At: c.at, Volts: c.volts, Amps: c.amps}
		assert.Equal(t, c.reason, screen(&s), c.name)
	}
}

func TestRejectionsAreAllCountedAndTheFirstHundredKept(t *testing.T) {
	var l rejections
	for line := range 250 {
		l.add(line+1, map[bool]string{true: reasonBlank, false: reasonOverload}[line%5 == 0])
	}
	assert.Equal(t, 250, l.count)
	assert.Len(t, l.first, 100)
	assert.Equal(t, Rejection{Line: 1, Reason: reasonBlank}, l.first[0])
	assert.Equal(t, Rejection{Line: 100, Reason: reasonOverload}, l.first[99])
	assert.Equal(t, map[string]int{reasonBlank: 50, reasonOverload: 200}, l.byReason)

	c := l.clone()
	l.add(251, reasonBlank)
	assert.Equal(t, 250, c.count, "a clone goes its own way")
	assert.Equal(t, 50, c.byReason[reasonBlank])
}
