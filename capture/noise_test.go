package capture

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A meter at another line rate: no line end is among what comes, so that no line of it is
// cut for minutes. After five seconds it is told of, once.
func TestRunTellsOfBytesThatAreNoLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 1))
	noise := func(without string) string {
		b := make([]byte, 20)
		for k := range b {
			for b[k] = '\n'; strings.IndexByte(without, b[k]) >= 0; {
				b[k] = byte(rng.Uint32())
			}
		}
		return string(b)
	}
	port := func(s *Source, _ *bubbleClock) { s.Midway, s.Quiet = true, quietLine }
	each := func(wait time.Duration, many int, say func(k int) string) (steps []step) {
		for k := range many {
			steps = append(steps, step{wait: wait, text: say(k)})
		}
		return steps
	}
	anything := func(int) string { return noise("\r\n") }
	told := func(steps []step) []string { return perform(t, port, steps).texts(Marked) }
	assert.Empty(t, told(each(time.Second, 5, anything)), "not yet")
	assert.Equal(t, []string{noiseHint}, told(each(time.Second, 6, anything)), "5 s after the first byte")
	assert.Len(t, told(each(time.Second, 600, anything)), 1, "once")
	assert.Len(t, told(each(3*time.Second, 20, anything)), 1, "also where each time it pauses")
	assert.Len(t, perform(t, port, each(time.Second, 6, anything), each(time.Second, 6, anything)).texts(Marked), 2, "at each opening")

	for name, say := range map[string]func(k int) string{
		"lines":                    func(int) string { return "V=13.8 A=4.1\r\n" },
		"a line in many pieces":    func(int) string { return "V=13.8 A=4.1; " },
		"text of another alphabet": func(int) string { return "\xce\xc1\xd0\xd2\xd1\xd6: 13.8\r\n" },
		"a byte now and then":      func(k int) string { return "\xff\x00"[k%2 : k%2+1][:map[bool]int{true: 1}[k < 15]] },
	} {
		assert.Empty(t, told(each(time.Second, 60, say)), name)
	}
	assert.Len(t, perform(t, nil, each(time.Second, 60, anything)).texts(Marked), 1, "a port may be read through a pipe or a program")
}
