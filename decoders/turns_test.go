package decoders

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A line that was lost costs the reading it belonged to and a few after it, no more:
// the voltage is never taken for the current for long.
func TestTurnsFindTheirPlaceAgain(t *testing.T) {
	for lost := range 2 {
		s := streamOf(t, "turns width=2 interval=10s voltage=1:V current=2:A")
		wrong, good := 0, 0
		for k := range 200 {
			for place, text := range []string{fmt.Sprintf("%.3f", 3.8+0.001*float64(k)), fmt.Sprintf("%.3f", 10-0.01*float64(k))} {
				if k == 50 && place == lost {
					continue
				}
				got, err := s.Line([]byte(text), math.NaN(), 0)
				switch {
				case err == ErrHalf || err == ErrTorn:
				case err != nil:
					require.NoError(t, err)
				case got.Volts > 5:
					wrong++
				default:
					good++
				}
			}
		}
		assert.LessOrEqual(t, wrong, 1)
		assert.GreaterOrEqual(t, good, 196)
	}
}

// What is damaged costs its own turn, and the lines are counted on; noise between
// them counts for nothing.
func TestTurnsCountDamagedLines(t *testing.T) {
	s := streamOf(t, "turns width=2 interval=10s voltage=1:V current=2:A")
	for _, c := range []struct {
		line string
		want error
	}{
		{"12.650", ErrHalf}, {"> log", ErrNotMine}, {"", ErrNotMine}, {"3.500", nil},
		{"12.6x1", ErrHalf}, {"3.501", ErrNumber},
		{"12.652", ErrHalf}, {"OL", ErrOverload},
		{"12.653", ErrHalf}, {"9.9E37", ErrOverload},
		{"12.653", ErrHalf}, {"9.91E37", ErrBlankAmps},
		{"12.654", ErrHalf}, {"3.502", nil},
	} {
		_, err := s.Line([]byte(c.line), math.NaN(), 0)
		require.Equal(t, c.want, err, c.line)
	}
}

// Without a time in the log and none stated, the choice is named.
func TestTurnsWithoutATimeAskForIt(t *testing.T) {
	lines := bytesOf(logOf("", func(_ int, r row) string { return fmt.Sprintf("%.3f\n%.3f", r.v, r.i) }))
	_, err := Fit(head(lines), Options{})
	require.ErrorIs(t, err, ErrUndecodable)
	assert.Contains(t, err.Error(), "turns")
	assert.Contains(t, err.Error(), "--interval")
}
