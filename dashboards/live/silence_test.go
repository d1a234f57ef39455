package live

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A source that says nothing for as long as a reading may be old is not up, and that is told; one that says what
// cannot be read is.
func TestASourceThatSaysNothingIsNotUp(t *testing.T) {
	h, clock := newHub()
	opened, last := evening.Add(-time.Hour), evening
	c := Channel{Name: "bench", SilenceS: 20, Reading: reading(evening, 10), Source: Source{Up: true, State: "open", Since: &opened, LastLineAt: &last, QuietS: 5}}
	h.Publish(c)
	marks := map[string]Mark{}
	assert.Len(t, h.Changed(marks), 1)

	clock.Advance(15 * time.Second)
	assert.Empty(t, h.Changed(marks))
	clock.Advance(time.Millisecond)
	changed := h.Changed(marks)
	assert.Len(t, changed, 1)
	s := changed[0].Source
	assert.False(t, s.Up)
	assert.True(t, s.Silent)
	assert.Equal(t, "no line comes, though it is open", s.State)
	assert.Equal(t, last, *s.Since)
	assert.Empty(t, h.Changed(marks), "once")

	clock.Advance(time.Minute)
	c.Source.QuietS = 0
	h.Publish(c)
	got, _ := h.Get("bench")
	assert.True(t, got.Source.Up)
	assert.Equal(t, "open", got.Source.State)
	assert.Nil(t, got.Reading, "lines come, but no reading")

	lost := Channel{Name: "bench", SilenceS: 20, Source: Source{State: "unplugged", Since: &opened}}
	h.Publish(lost)
	clock.Advance(time.Hour)
	got, _ = h.Get("bench")
	assert.False(t, got.Source.Silent)
	assert.Equal(t, "unplugged", got.Source.State, "why it is away says more")
	assert.Equal(t, opened, *got.Source.Since)
}
