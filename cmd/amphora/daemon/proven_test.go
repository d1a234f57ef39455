package daemon

import (
	"fmt"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"

	"github.com/stretchr/testify/require"
)

// The program begins again in mid-charge, and nothing tells it that the sign was seen before. What it sees from there
// on looks as if the meter counted the other way: the current comes back to a float while the voltage sinks, or goes
// down while that is held, or a lead comes loose.
func TestARestartTurnsNoSign(t *testing.T) {
	for name, from := range map[string][]int{
		"mower-float":           {1115, 1121, 1136, 1145},
		"caravan-power-limited": {1170, 1290, 1300},
		"outboard-plateau":      {385, 445, 505},
		"open-lead":             {75, 85, 95},
	} {
		n := madeup.Named(name)
		n.Meter.Every = 30
		frames := []capture.Frame{{Wall: evening, Text: []byte("timestamp_s,voltage_V,current_A")}}
		for row := range n.Samples() {
			at := time.Duration(row.At * float64(time.Second))
			frames = append(frames, capture.Frame{Wall: evening.Add(at), Boot: at, Text: fmt.Appendf(nil, "%.0f,%.3f,%.3f", row.At, row.Volts, row.Amps)})
		}
		for _, at := range from {
			turnsNothing(t, "auto", frames, at, at+200, name)
			if name == "mower-float" { // and the rest before the charge was never seen
				turnsNothing(t, "auto", append(frames[:1:1], frames[301:]...), at-300, at-100, name+" in mid-charge")
			}
		}
	}
	frames, _ := nightOfTwo(t, "open-lead", func(float64) bool { return false })
	for _, at := range []int{168, 424, 680, 776} {
		turnsNothing(t, TwoMeters("auto", "auto", 20*time.Second), frames, at, at+900, "two meters")
	}
}

// turnsNothing: whatever is forgotten at a frame, those after it do not have all told anew.
func turnsNothing(t *testing.T, decoder string, frames []capture.Frame, at, to int, name string) {
	t.Helper()
	s := newStory(decoder, analyze.Options{})
	for k := range frames[:min(to, len(frames))] {
		if k == at {
			s.second = secondLook{}
		}
		s.frame(uint64(k+1), &frames[k], "boot", func(u turn) {
			require.False(t, u.anew && k >= at, "%s, begun again at %d: row %d: %s", name, at, k, u.chose)
		})
	}
}
