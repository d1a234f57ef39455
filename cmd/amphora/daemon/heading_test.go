package daemon

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// Who looks again at later rows reads them below the heading that stood above the first ones.
func TestTheHeadingIsKeptForTheSecondLook(t *testing.T) {
	for _, c := range []struct {
		cut   string
		texts []string
		want  string
	}{
		{"", []string{"Report", "", "t;U;I", "0;12.61;0.00", "end"}, "t;U;I"},
		{";U;I", []string{"0;12.61;0.00", "1;12.61;0.00"}, ";U;I"},
		{"", []string{"0;12.61;0.00"}, ""},
	} {
		f := fitting{head: []byte(c.cut)}
		for _, text := range c.texts {
			f.keep(line{}, []byte(text))
		}
		assert.Equal(t, c.want, string(f.heading()))
	}
	s := newStory("auto", analyze.Options{})
	s.fit.keep(line{}, []byte("time_s;U;I"))
	s.adopt("columns separator=semicolon width=3 time=1:s voltage=2:V current=3:A", func(turn) {})
	assert.Equal(t, "time_s;U;I", string(s.second.fit.head))
}
