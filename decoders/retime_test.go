package decoders

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A heading that comes again may have another kind of time below it. A torn row does not bring one.
func TestAHeadingThatComesAgainMayHaveAnotherKindOfTime(t *testing.T) {
	seconds := []string{"time_s,voltage_V,current_A", "20,12.61,0.45", "40,12.62,0.45", "60,12.63,0.45"}
	dated := []string{"timestamp,voltage_V,current_A", "2026-03-14T20:40:05Z,12.61,0.45", "2026-03-14T20:40:25Z,12.62,0.45", "2026-03-14T20:40:45Z,12.63,0.45"}
	clock := []string{"time,voltage_V,current_A", "0:00:20,12.61,0.45", "0:00:40,12.62,0.45", "0:01:00,12.63,0.45"}
	other := []string{"time,current_A,voltage_V", "14.03.2026 20:40:05,0.45,12.61", "14.03.2026 20:40:25,0.45,12.62", "14.03.2026 20:40:45,0.45,12.63"}
	same := []string{"time_s,voltage_V,current_A", "0:00:20,12.61,0.45", "0:00:40,12.62,0.45", "0:01:00,12.63,0.45"}
	unix := []string{"time,voltage_V,current_A", "1773520805,12.61,0.45", "1773520825,12.62,0.45", "1773520845,12.63,0.45"}
	for name, c := range map[string]struct{ first, then []string }{
		"a date": {seconds, dated}, "a clock": {seconds, clock}, "the same names": {seconds, same}, "seconds": {dated, seconds}, "another order": {seconds, other},
		"seconds for a clock": {clock, seconds}, "since 1970": {dated, unix},
	} {
		for torn, row := range map[string]string{"": "", " below a torn row": "0:00:1\x00,", " below a row of another kind": "0:00:17,12.61,0.45"} {
			t.Run(name+torn, func(t *testing.T) {
				s := headedStream(t, c.first)
				_, err := s.Line([]byte(c.then[0]), math.NaN(), 0)
				require.Equal(t, ErrNotMine, err)
				if row != "" {
					_, _ = s.Line([]byte(row), math.NaN(), 0)
				}
				before := math.NaN()
				for k, l := range c.then[1:] {
					x, err := s.Line([]byte(l), math.NaN(), 0)
					require.NoError(t, err, l)
					assert.InDelta(t, 12.61+0.01*float64(k), x.Volts, 1e-9)
					assert.InDelta(t, 0.45, x.Amps, 1e-9)
					if k > 0 {
						assert.InDelta(t, 20, x.At-before, 1e-6)
					}
					before = x.At
				}
			})
		}
	}
}

// Live such a time goes on from the last row by what passed meanwhile, and only a heading brings it.
func TestAnotherKindOfTimeGoesOn(t *testing.T) {
	s := headedStream(t, []string{"time_s,voltage_V,current_A"})
	at := func(line string, arrival float64) (float64, error) {
		x, err := s.Line([]byte(line), arrival, 0)
		return x.At, err
	}
	for k, l := range []string{"20,12.61,0.45", "40,12.62,0.45"} {
		_, err := at(l, 1000+20*float64(k))
		require.NoError(t, err)
	}
	_, err := at("2026-03-14T20:40:05Z,12.61,0.45", 1040)
	require.Error(t, err, "no heading said so")
	_, _ = at("timestamp,voltage_V,current_A", 1041)
	x, err := at("2026-03-14T20:40:06Z,12.61,0.45", 1060)
	require.NoError(t, err)
	assert.InDelta(t, 80, x, 1e-6)
	x, err = at("2026-03-14T20:40:26Z,12.61,0.45", 1080)
	require.NoError(t, err)
	assert.InDelta(t, 100, x, 1e-6)
}

// headedStream is one that was fitted to some lines of a kind, with these for the rows before.
func headedStream(t *testing.T, lines []string) *Stream {
	t.Helper()
	whole := lines
	if len(lines) == 1 {
		whole = append(lines[:1:1], "20,12.61,0.45", "40,12.62,0.45", "60,12.63,0.45")
	}
	var all [][]byte
	for _, l := range whole {
		all = append(all, []byte(l))
	}
	f, err := Fit(all, Options{})
	require.NoError(t, err)
	s, err := NewStream(f.Layout)
	require.NoError(t, err)
	for _, l := range all[:len(lines)] {
		_, _ = s.Line(l, math.NaN(), 0)
	}
	return s
}
