package daemon

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// act is a moment in the life of a source.
type act struct {
	wait time.Duration         // what passes before it
	say  string                // bytes, as one read brings them
	lost bool                  // the source goes, and is back at the time of the next act
	gone bool                  // it is a pipe, whose writer goes
	do   func(*testhelp.Clock) // what happens to the clock
}

// feeder is a source that follows a script, by a clock that nobody else moves.
type feeder struct {
	clock *testhelp.Clock
	acts  []act
	stop  context.CancelFunc
	away  bool
}

func (f *feeder) open(context.Context) (capture.Stream, error) {
	if len(f.acts) == 0 {
		f.stop()
		return nil, errors.New("the script is over")
	}
	if f.away {
		f.clock.Advance(f.acts[0].wait)
		f.acts[0].wait, f.away = 0, false
	}
	return f, nil
}

func (f *feeder) Read(p []byte) (int, error) {
	if len(f.acts) == 0 {
		return 0, errors.New("unplugged")
	}
	a := f.acts[0]
	f.acts = f.acts[1:]
	f.clock.Advance(a.wait)
	if a.do != nil {
		a.do(f.clock)
	}
	if a.lost {
		f.away = true
		return 0, errors.New("unplugged")
	}
	if a.gone {
		return 0, capture.Remark{Text: capture.WriterGone, Anew: true}
	}
	return copy(p, a.say), nil
}

func (*feeder) Close() error   { return nil }
func (*feeder) String() string { return "a script" }

// perform listens to a script to its end, on the whole way from bytes to sessions.
func perform(t testing.TB, decoder string, script []act) (*story, []analyze.Session) {
	return performAt(t, testhelp.NewClock(evening), decoder, script)
}

// performAt is perform by a clock of one's own, from a source that may be changed.
func performAt(t testing.TB, clock *testhelp.Clock, decoder string, script []act, change ...func(*capture.Source)) (*story, []analyze.Session) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	f := &feeder{clock: clock, acts: slices.Clone(script), stop: stop}
	s := newStory(decoder, analyze.Options{Channel: "bench"})
	told := &teller{story: s}
	seq := uint64(0)
	src := capture.Source{
		Name: "script", Open: f.open, Midway: true, Retry: capture.Retry{Every: 1, Later: 1, Long: time.Hour},
	}
	for _, c := range change {
		c(&src)
	}
	err := capture.Run(ctx, src, clock, func(frame capture.Frame) error {
		seq++
		s.frame(seq, &frame, "boot", told.turn)
		return nil
	})
	require.ErrorIs(t, err, context.Canceled)
	s.lastTry(told.turn)
	told.last(false)
	sessions := make([]analyze.Session, len(told.told))
	for k := range told.told {
		sessions[k] = told.told[k].Session
	}
	return s, sessions
}

// row is a row of a night, with the second at which it was taken.
type row struct{ at, volts, amps float64 }

// rows are those of a night, so many seconds apart.
func rows(n madeup.Night, every float64) []row {
	n.Meter.Every = every
	var all []row
	for s := range n.Samples() {
		all = append(all, row{s.At, s.Volts, s.Amps})
	}
	return all
}

const plainLines = "labelled voltage=V:V current=A:A"

// said is a script that says each row when it was taken, in a form without a time.
func said(rows []row) []act { return saying(rows, row.line) }

func saying(rows []row, form func(row) string) []act {
	script := []act{{say: "\n"}} // the line that began before we listened
	before := 0.0
	for _, r := range rows {
		script = append(script, act{wait: seconds(r.at - before), say: form(r)})
		before = r.at
	}
	return script
}

func (r row) line() string { return fmt.Sprintf("V=%.3f A=%.3f\r\n", r.volts, r.amps) }

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }

// charge adds sessions up: what went in, Ah, and the time that nobody saw, s.
func charge(sessions []analyze.Session) (in, unseen float64) {
	for _, s := range sessions {
		in += float64(s.ChargeInAh)
		for _, g := range s.Gaps {
			unseen += float64(g.EndS - g.StartS)
		}
	}
	return in, unseen
}

// integral is the charge of rows, Ah.
func integral(rows []row) float64 {
	in, _ := testhelp.AmpHours(len(rows), func(k int) (at, amps float64) { return rows[k].at, rows[k].amps })
	return in
}
