package daemon

import (
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A clock that is set forth by hours had stood still while the host was off, and what came
// since the boot was misdated. What came before it was not, nor what a clock told that is
// merely steered, or set back.
func TestClockThatIsSetForthDatesAnew(t *testing.T) {
	const idle, charge = 60, 1200 // rows, a second apart
	for name, c := range map[string]struct {
		boot int           // the row before which the host was off for six hours; 0: never
		step time.Duration // of its clock
		late bool          // the row after that is one of a backlog
		mute bool          // nothing that came since the boot could be read
		want time.Duration // by how much the beginning moves
	}{
		"where it was shut down":         {0, 6 * time.Hour, false, false, 6 * time.Hour},
		"and a backlog":                  {0, 6 * time.Hour, true, false, 6 * time.Hour},
		"steered":                        {0, 9 * time.Minute, false, false, 0},
		"set back":                       {0, -6 * time.Hour, false, false, 0},
		"off before the charge":          {30, 6 * time.Hour, false, false, 6 * time.Hour},
		"off during the charge":          {idle + 300, 6 * time.Hour, false, false, 0},
		"off shortly before it was set":  {idle + charge/2, 6 * time.Hour, false, false, 0},
		"off, and nothing read since":    {idle + charge/2 - 9, 6 * time.Hour, false, true, 0},
		"off before, and steered hardly": {30, time.Minute, false, false, 0},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStory(plainLines, analyze.Options{Channel: "bench"})
			wall, boot, id := evening, time.Minute, "a"
			for k := range idle + charge {
				r, flags := row{volts: 12.4}, capture.Flags(0)
				if k >= idle {
					r = row{volts: 12.9 + float64(k)/10_000, amps: 2}
				}
				wall, boot = wall.Add(time.Second), boot+time.Second
				if c.boot > 0 && k == c.boot {
					boot, id = time.Minute, "b" // its clock goes on from where it was
				}
				if k == idle+charge/2 {
					wall = wall.Add(c.step)
					if c.late {
						wall, boot, flags = wall.Add(time.Minute), boot+time.Minute, capture.Burst
					}
				}
				text := r.line()[:len(r.line())-2]
				if c.mute && id == "b" && k < idle+charge/2 {
					text = "starting"
				}
				f := capture.Frame{Wall: wall, Boot: boot, Text: []byte(text), Flags: flags}
				s.frame(uint64(k+1), &f, id, func(turn) {})
			}
			all := s.machine.Document().Sessions
			last := all[len(all)-1]
			require.NotEqual(t, analyze.NoCharge, last.Outcome)
			require.NotNil(t, last.Started)
			assert.WithinDuration(t, evening.Add(idle*time.Second).Add(c.want), *last.Started, 5*time.Second)
		})
	}
}
