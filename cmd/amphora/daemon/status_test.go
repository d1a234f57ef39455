package daemon

import (
	"context"
	"errors"
	"testing"

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
