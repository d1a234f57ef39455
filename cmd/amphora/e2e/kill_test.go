//go:build linux

package e2e

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// killing is a night in which the program is killed again and again.
type killing struct {
	t       testing.TB
	place   *place
	port    *port
	night   playable
	next    int // line
	chance  *rand.Rand
	longest time.Duration // between start and kill
	killed  []time.Time
	program *program
	runs    []*program

	onWhileDown bool // the charger does not wait; what it says meanwhile nobody hears
}

const pace = 8 * time.Millisecond // between two lines

// newKilling prepares a night that is long enough for so many kills.
func newKilling(t testing.TB, kills int, longest time.Duration) *killing {
	lines := float64(kills)*longest.Seconds()/4/pace.Seconds() + 1500
	k := &killing{
		t: t, place: newPlace(t), port: newPort(t), night: mower(math.Floor(55200 / lines)),
		chance: rand.New(rand.NewPCG(7, 60)), longest: longest,
	}
	k.place.channel(t, "bench", k.port.source())
	return k
}

// serve starts the program.
func (k *killing) serve() {
	k.program = serve(k.t, k.place.config)
	k.runs = append(k.runs, k.program)
}

// alive runs the program, with the charger talking, until a random instant: mostly
// a short time, so that kills fall into starts and replays as well.
func (k *killing) alive() {
	k.serve()
	x := k.chance.Float64()
	end := time.Now().Add(time.Duration(x * x * x * float64(k.longest)))
	for now := time.Now(); now.Before(end); now = time.Now() {
		k.say()
		time.Sleep(min(pace, time.Until(end)))
	}
}

func (k *killing) say() {
	require.Less(k.t, k.next, len(k.night.lines), "the night is too short for so many kills")
	k.port.say(k.night.lines[k.next])
	k.next++
}

// kill ends the program; a charger that goes on says some lines to nobody.
func (k *killing) kill() {
	k.killed = append(k.killed, time.Now())
	k.program.kill()
	if k.onWhileDown {
		k.next += 1 + k.chance.IntN(12)
	}
}

// rest runs the program to the end of the night, stops it, and returns the sessions
// that it tells of after yet another start.
func (k *killing) rest() []analyze.Session {
	k.serve()
	for k.next < len(k.night.lines) {
		k.say()
	}
	// A kill may have taken the first rows, from which elapsed time counts.
	first := rowsOf(k.t, whole(recorded(k.t, k.place.data, "bench")))[0].at
	k.program.untilRead("bench", k.night.end-first)
	k.program.stop()
	k.serve()
	defer k.program.stop()
	return k.program.sessions()
}

// checkRecord compares the journal with what was said: every line handed over more
// than a second before a kill is there, none twice, none invented. How many were lost comes
// with it.
func (k *killing) checkRecord() (records []record, lost int) {
	k.t.Helper()
	records = recorded(k.t, k.place.data, "bench")
	times := make(map[string]int)
	for _, r := range records {
		if r.flags&capture.NotLine == 0 {
			times[r.text]++
		}
	}
	for _, s := range k.port.said {
		assert.LessOrEqual(k.t, times[s.text], 1, "twice: %s", s.text)
		if times[s.text] == 0 {
			lost++
			assert.True(k.t, k.killedSoonAfter(s.at), "lost: %s", s.text)
		}
		delete(times, s.text)
	}
	// What is left are lines of which a kill took the first part.
	assert.LessOrEqual(k.t, len(times), len(k.killed), "invented: %v", times)
	k.checkWarnings()
	k.t.Logf("%d kills, %d lines said, %d lost within a second of a kill", len(k.killed), len(k.port.said), lost)
	return records, lost
}

// checkWarnings: a kill may tear one record, which is told of once, and nothing
// else is worth a warning.
func (k *killing) checkWarnings() {
	torn, warnings := 0, 0
	for _, run := range k.runs {
		torn += run.log.Count("damaged tail")
		warnings += run.log.Count("level=WARN") + run.log.Count("level=ERROR")
	}
	assert.LessOrEqual(k.t, torn, len(k.killed))
	assert.Equal(k.t, torn, warnings)
}

// checkCharge checks the record, and that the charge is that of the uninterrupted
// run and, to the last bit, of the lines that are there.
func (k *killing) checkCharge(s analyze.Session) {
	k.t.Helper()
	records, lost := k.checkRecord()
	unbroken := analysed(k.t, k.night.file(k.t))[0]
	// A slow disk may cost some lines in a row, which is then a gap.
	hangs := 2 * float64(lost) / float64(len(k.port.said))
	assert.InEpsilon(k.t, float64(unbroken.ChargeInAh), float64(s.ChargeInAh), 1e-4+hangs, "of the uninterrupted run")
	requireSame(k.t, analysed(k.t, logOf(k.t, whole(records)))[0], s)
}

func (k *killing) killedSoonAfter(at time.Time) bool {
	for _, kill := range k.killed {
		if after := kill.Sub(at); after > -pace && after <= time.Second {
			return true
		}
	}
	return false
}

// howMany kills there are in a night, and how long the program lives at most.
func howMany() (kills int, longest time.Duration) {
	if long {
		return 200, 5 * time.Second
	}
	return 60, 2 * time.Second
}

func TestKilledAllNightWhileTheChargerWaits(t *testing.T) {
	t.Parallel()
	kills, longest := howMany()
	k := newKilling(t, kills, longest)
	id, in := "", 0.0
	for range kills {
		k.alive()
		if s := k.program.view("bench").Session; s != nil && s.SetA > 0 {
			if id == "" {
				id = s.ID
			}
			assert.Equal(t, id, s.ID)
			assert.GreaterOrEqual(t, float64(s.ChargeInAh), in-0.001, "the page goes on where it was")
			in = float64(s.ChargeInAh)
		}
		k.kill()
	}
	sessions := k.rest()
	require.Len(t, sessions, 1)
	assert.Equal(t, id, sessions[0].ID)

	k.checkCharge(sessions[0])
}

func TestKilledAllNightWhileTheChargerGoesOn(t *testing.T) {
	t.Parallel()
	kills, longest := howMany()
	k := newKilling(t, kills/2, longest/2)
	k.onWhileDown = true
	for range kills / 2 {
		k.alive()
		k.kill()
	}
	sessions := k.rest()
	require.Len(t, sessions, 1)

	records, _ := k.checkRecord()
	lines := whole(records)
	in, gaps := ampHours(rowsOf(t, lines))
	assert.InEpsilon(t, in, float64(sessions[0].ChargeInAh), 1e-4)
	told := 0.0
	for _, g := range sessions[0].Gaps {
		told += float64(g.EndS - g.StartS)
	}
	assert.InDelta(t, gaps, told, float64(len(k.killed)), "within a second for each kill")
	assert.Positive(t, told)
}
