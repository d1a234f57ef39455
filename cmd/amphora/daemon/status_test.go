package daemon

import (
	"context"
	"errors"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"

	"github.com/stretchr/testify/assert"
)

// That the clock was set shows at once, though the meter may be silent for hours.
func TestMarksShowAtOnce(t *testing.T) {
	var s status
	for _, f := range []capture.Frame{
		{Flags: capture.Opened, Text: []byte("meter")},
		{Flags: capture.Marked, Text: []byte("clock step: the wall clock was set by 497050h14m34s")},
		{Flags: capture.Lost, Text: []byte("unplugged")},
	} {
		s.frame(&f)
		assert.True(t, s.changed(), "%s", f.Text)
		assert.False(t, s.changed(), "once")
	}
	s.frame(&capture.Frame{Text: []byte("12.6,3.5")})
	assert.False(t, s.changed(), "lines show a few times a second, however many there are")
}

// A source that nobody listens to any more says why.
func TestSourceThatStoppedSaysWhy(t *testing.T) {
	for want, err := range map[string]error{
		"stopped": context.Canceled, "the source has ended": capture.ErrEnded, "stopped: stdin: hung up": errors.New("stdin: hung up"),
	} {
		var s status
		s.stopped(err)
		assert.Equal(t, want, s.state)
	}
}

// A port that is open while nothing comes: what that may be is told once silence is no pause any more, and not of a
// meter that has been heard, or of a file.
func TestAPortThatSaysNothingHasAHint(t *testing.T) {
	hint := func(source string, heard int, after time.Duration) string {
		c := channel{set: Settings{Source: capture.Source{Name: source}}, story: newStory("auto", analyze.Options{})}
		c.status.up, c.status.lines, c.latest.Boot = true, heard, time.Hour
		c.story.noise = "lines come, but are noise"
		return c.advice(time.Hour + after)
	}
	const port = "serial:/dev/ttyUSB0"
	assert.Contains(t, hint(port, 0, time.Minute), "does it send by itself?")
	assert.Empty(t, hint(port, 0, 20*time.Second))
	assert.Equal(t, "lines come, but are noise", hint(port, 1, time.Minute))
	assert.Empty(t, hint("file:night.csv", 0, time.Minute), "the noise was before the start")
}

// What a meter says counts, and that it was opened, not what is remarked of it; of two meters the one that says less.
func TestHowLongASourceHasBeenQuiet(t *testing.T) {
	frame := func(s *status, at time.Duration, flags capture.Flags, text string) {
		s.frame(&capture.Frame{Boot: at, Flags: flags, Text: []byte(text)})
	}
	var one status
	frame(&one, 100*time.Second, capture.Opened, "meter")
	assert.Equal(t, 10*time.Second, one.quiet(110*time.Second))
	frame(&one, 120*time.Second, 0, "12.6,3.5")
	frame(&one, 130*time.Second, capture.Marked, "clock step: the wall clock was set by 1h")
	assert.Equal(t, 20*time.Second, one.quiet(140*time.Second))

	two := status{two: true}
	frame(&two, 100*time.Second, capture.Opened, "voltage meter")
	frame(&two, 110*time.Second, capture.Opened, "current meter")
	for at := 120 * time.Second; at < 200*time.Second; at += time.Second {
		frame(&two, at, 0, "voltage 12.6")
	}
	assert.Equal(t, 90*time.Second, two.quiet(200*time.Second))
	frame(&two, 200*time.Second, 0, "current 3.5")
	assert.Equal(t, time.Second, two.quiet(200*time.Second))
}

// A meter that speaks once a minute is not silent in between.
func TestTheLimitOfSilenceFollowsTheMeter(t *testing.T) {
	c := channel{story: newStory("auto", analyze.Options{})}
	assert.Equal(t, 30*time.Second, c.limitOfSilence(), "nothing is known of it")
	for at := 0.0; at < 600; at += 60 {
		c.story.machine.Step(analyze.Sample{At: at, Volts: 12.6, Amps: 3, Celsius: analyze.Unknown(), Counter: analyze.Unknown()})
	}
	assert.Equal(t, 3*time.Minute, c.limitOfSilence())
	c.set.Silence = 20 * time.Second
	assert.Equal(t, 20*time.Second, c.limitOfSilence(), "as set")
}
