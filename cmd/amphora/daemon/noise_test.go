package daemon

import (
	"math/rand/v2"
	"testing"
	"time"

	"amphora/capture"

	"github.com/stretchr/testify/assert"
)

// A heading in any script is kept, for it names what comes; bytes by chance are not.
func TestWhatIsWrittenIsNoNoise(t *testing.T) {
	for _, line := range []string{
		"时间,电压 (V),电流 (A)", "Время;Напряжение;Ток", "│ 0:00:05 │ 12,61 V │ 0,00 A │", "12.61 V 24.1 \xb0C", "0:05,12.61,3.40",
	} {
		assert.False(t, isNoise([]byte(line)), line)
	}
	chance := rand.New(rand.NewPCG(3, 9))
	kept := 0
	for range 1000 {
		line := make([]byte, 8+chance.IntN(40))
		for k := range line {
			line[k] = byte(chance.Uint32())
		}
		if !isNoise(line) {
			kept++
		}
	}
	assert.Less(t, kept, 30)
}

// In the middle of a night nearly all of what comes is noise: that a line among it can be
// read now and then is no comfort. It is told of within seconds, and no more once it is over.
func TestHardlyAnythingBesideNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 2))
	all := said(rows(gentle(t), 5)[:200])
	hint := func(script []act) string {
		s, _ := perform(t, plainLines, script)
		return (&channel{story: s, set: Settings{Silence: time.Minute}, latest: capture.Frame{Boot: s.last.boot}}).hint()
	}
	noisy := func(script []act, many, good int, line func() string) []act {
		for k := range many {
			say := line()
			if k%good == good-1 {
				say = "V=12.900 A=2.000\r\n"
			}
			script = append(script, act{wait: 100 * time.Millisecond, say: say})
		}
		return script
	}
	noise := func() string {
		b := make([]byte, 12)
		for k := range b {
			b[k] = 0x80 | byte(rng.Uint32())
		}
		return string(b) + "\n"
	}
	text := func() string { return "SENSOR OK\r\n" }
	begun := all[:100:100]
	assert.Empty(t, hint(noisy(begun, 40, 1000, noise)), "4 s")
	assert.Contains(t, hint(noisy(begun, 66, 1000, noise)), "line rate (baud)")
	assert.Contains(t, hint(noisy(begun, 200, 25, noise)), "line rate (baud)", "four in a hundred")
	assert.Empty(t, hint(noisy(begun, 200, 15, noise)), "seven in a hundred")
	assert.Empty(t, hint(noisy(begun, 200, 25, text)), "a meter that says much else")
	assert.Empty(t, hint(append(noisy(begun, 200, 25, noise), all[100:160]...)))
}
