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
	assert.Equal(t, "labelled time=t:s voltage=v@1:V current=a:A", f.Setting)
	assert.Equal(t, 1.0, f.Share)
}

// A number that goes on with a letter and digits had a byte changed; a letter before the next
// value is its label.
func TestLabelledNumberThatRunsOnIsTorn(t *testing.T) {
	l, err := Parse("labelled time=t:s voltage=v:V current=a:A")
	require.NoError(t, err)
	s, err := NewStream(l)
	require.NoError(t, err)
	for line, want := range map[string]error{
		"t=20 V=4.219 A=0.001":     nil,
		"t=40 V=4.r19 A50.01":      ErrTorn,
		"t=60 V=4r.219 A=0.001":    ErrTorn,
		"t=80 V=4.2r9 A=0.001":     ErrTorn,
		"t=100 V4.219A0.001":       nil,
		"t=120 V=4.219V A=0.001mA": nil,
		"t=140 V=4.219 A=0.001ok":  nil, // a word that nobody knows
	} {
		_, err := s.Line([]byte(line), math.NaN(), 0)
		assert.Equal(t, want, err, line)
	}
}

// Where groups of values have the same labels, the measured ones are taken, not those that
// were set.
func TestMeasuredValuesAreToldFromThoseThatWereSet(t *testing.T) {
	for form, want := range map[string]string{
		"t=%d SET V=14.40 A=3.00 OUT V=%.3f A=%.3f":            `labelled time=t:s voltage="out v":V current=a@2:A`,
		"%d s Set: 14.40V 3.00A Out: %.3fV %.3fA":              `labelled time=#s:s voltage=out:V current=#A@2:A`,
		"time %d set 14.40 V 3.00 A actual %.3f V %.3f A":      `labelled time=time:s voltage=actual:V current=#A@2:A`,
		"t=%d OUT V=%.3f A=%.3f SET V=14.40 A=3.00, MAX A=9.5": `labelled time=t:s voltage="out v":V current=a@1:A`,
		"t=%d MAX A=9.5, OUT V=%.3f A=%.3f SET V=14.40 A=3.00": `labelled time=t:s voltage="out v":V current=a@1:A`,
		"t=%d OUT V=%.3f A=%.3f SET V=14.40 A=3.00":            `labelled time=t:s voltage="out v":V current=a@1:A`,
	} {
		var lines [][]byte
		for k := range 300 {
			lines = append(lines, fmt.Appendf(nil, form, 30*k, 12.8+0.005*float64(k), 3-0.009*float64(max(k-100, 0))))
		}
		f, err := Fit(lines, Options{})
		require.NoError(t, err, form)
		assert.Equal(t, want, f.Setting, form)
		s, err := NewStream(f.Layout)
		require.NoError(t, err)
		got, err := s.Line(lines[200], math.NaN(), 0)
		require.NoError(t, err)
		assert.InDelta(t, 13.8, got.Volts, 1e-9, form)
		assert.InDelta(t, 2.1, got.Amps, 1e-9, form)
	}
}
