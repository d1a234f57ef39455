package decoders

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Where bytes are lost the halves of two labelled lines join, and a label comes twice.
// Such a line is no row; where a label comes twice in every line, the first one counts.
func TestJoinedLabelledLineIsTorn(t *testing.T) {
	var once, twice [][]byte
	for k := range 200 {
		once = append(once, fmt.Appendf(nil, "t=%d V=13.%03d A=2.%03d", 20*k, 100+k, 500+k%7))
		twice = append(twice, fmt.Appendf(nil, "t=%d V=13.%03d V=4.%03d A=2.%03d", 20*k, 100+k, 100+k, 500+k%7))
	}
	f, err := Fit(once, Options{})
	require.NoError(t, err)
	assert.Equal(t, "labelled time=t:s voltage=v:V current=a:A", f.Setting)
	s, err := NewStream(f.Layout)
	require.NoError(t, err)
	for line, want := range map[string]error{
		"t=40 V=12.570 A=0566 A=0.002":   ErrTorn,
		"t=40 V=12.567 160 V=12.563 A=0": ErrTorn,
		"t=40 V=12.567 V=12.567 A=0.002": nil, // says nothing else
	} {
		_, err := s.Line([]byte(line), math.NaN(), 0)
		assert.Equal(t, want, err, line)
	}

	f, err = Fit(twice, Options{})
	require.NoError(t, err)
	assert.Equal(t, "labelled repeats=yes time=t:s voltage=v:V current=a:A", f.Setting)
	assert.Equal(t, 1.0, f.Share)
	l, err := Parse(f.Setting)
	require.NoError(t, err)
	assert.True(t, l.Repeats)
	_, err = Parse("labelled repeats=often voltage=v:V current=a:A")
	assert.ErrorContains(t, err, `repeats "often" is neither yes nor no`)
}
