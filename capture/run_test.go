package capture

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRunMarksEveryLossAndReturn(t *testing.T) {
	r := perform(t, nil, []step{{text: "a\nb"}}, nil, nil, []step{{text: "c\n"}})
	var got []piece
	for _, f := range r.frames {
		got = append(got, piece{string(f.Text), f.Flags})
	}
	assert.Equal(t, []piece{
		{"opened a script", Opened}, {"a", 0}, {"b", Fragment}, {"ended", Lost},
		{"opened a script", Opened}, {"c", 0}, {"ended", Lost}, {"stopped", Lost},
	}, got, "two failed tries are not marked again")
}

func TestRunRetriesEachSecondThenEachFive(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithTimeout(context.Background(), time.Hour)
		defer stop()
		var tries []time.Time
		src := Source{Open: func(context.Context) (Stream, error) {
			tries = append(tries, time.Now())
			return nil, errors.New("not there")
		}}
		var r record
		require.ErrorIs(t, Run(ctx, src, newBubbleClock(), r.emit), context.DeadlineExceeded)
		assert.Equal(t, time.Second, tries[1].Sub(tries[0]))
		assert.Equal(t, 5*time.Second, tries[len(tries)-1].Sub(tries[len(tries)-2]))
		assert.InDelta(t, 600+3000/5, len(tries), 3)
		assert.Equal(t, []string{"not there", "stopped"}, r.texts(Lost), "an hour away is one mark")
	})
}

func TestRunMarksANewReasonOnceAMinute(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
		defer stop()
		n := 0
		src := Source{Open: func(context.Context) (Stream, error) {
			n++
			return nil, errors.New([]string{"busy", "not there"}[n%2])
		}}
		var r record
		require.Error(t, Run(ctx, src, newBubbleClock(), r.emit))
		assert.InDelta(t, 6, len(r.texts(Lost)), 1)
	})
}

func TestRunStrictSourceFailsAtOnce(t *testing.T) {
	broken := errors.New("permission denied")
	src := Source{Strict: true, Open: func(context.Context) (Stream, error) { return nil, broken }}
	var r record
	assert.ErrorIs(t, Run(context.Background(), src, SystemClock{}, r.emit), broken)
	assert.Empty(t, r.frames)
}

func TestRunStopsWhenEmitFails(t *testing.T) {
	full := errors.New("disk full")
	lines := 0
	synctest.Test(t, func(t *testing.T) {
		src := acts(func() {}, []step{{text: "a\nb\nc\n"}, {text: "d\n"}})
		err := Run(context.Background(), src, newBubbleClock(), func(f Frame) error {
			if f.Flags&^Burst == 0 {
				lines++
				return full
			}
			return nil
		})
		assert.ErrorIs(t, err, full)
	})
	assert.Equal(t, 1, lines, "nothing is handed on after a refusal")
}

func TestRunClosesAQuietLine(t *testing.T) {
	quiet := func(s *Source, _ *bubbleClock) { s.Quiet = quietLine }
	r := perform(t, quiet, []step{{text: "13."}, {wait: 1900 * time.Millisecond, text: "8"}, {wait: 2300 * time.Millisecond, text: "13.9"}, {wait: time.Minute}})
	assert.Equal(t, []string{"13.8", "13.9"}, r.texts(Fragment))

	r = perform(t, nil, []step{{text: "13."}, {wait: time.Hour, text: "8\n"}})
	assert.Equal(t, []string{"13.8"}, r.texts(0), "a file's line may take its time")
}

func TestRunReopensASilentSource(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithTimeout(context.Background(), 4*time.Hour)
		defer stop()
		var opened []time.Duration
		clock := newBubbleClock()
		src := Source{Silence: 30 * time.Second, Open: func(context.Context) (Stream, error) {
			opened = append(opened, time.Since(clock.start)/time.Second)
			return &play{steps: []step{{wait: 4 * time.Hour}}}, nil
		}}
		var r record
		require.Error(t, Run(ctx, src, clock, r.emit))
		assert.Equal(t, []time.Duration{0, 301, 902, 2103, 4504, 8105, 11706}, opened,
			"5 min of silence, for the usual interval is not known, and 1 s of pause; then 10, 20 and 40 min, then an hour each")
	})
}

func TestRunSilenceFollowsTheUsualInterval(t *testing.T) {
	var slow []step
	for range 10 {
		slow = append(slow, step{wait: time.Minute, text: "13.8\n"})
	}
	slow = append(slow, step{wait: 150 * time.Second, text: "late\n"}, step{wait: time.Hour})
	r := perform(t, func(s *Source, _ *bubbleClock) { s.Silence = 30 * time.Second }, slow)
	assert.Contains(t, r.texts(0), "late", "2.5 intervals are no silence")
	assert.Contains(t, r.texts(Lost), "silent for 3 min 00 s")
}

func TestRunLearnsASlowMeterThroughReconnects(t *testing.T) {
	const every = 10 * time.Minute
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithTimeout(context.Background(), 24*time.Hour)
		defer stop()
		clock, opened := newBubbleClock(), 0
		src := Source{Silence: 30 * time.Second, Open: func(context.Context) (Stream, error) {
			opened++
			steps := []step{{wait: every - time.Since(clock.start)%every, text: "13.8\n"}}
			for range 200 {
				steps = append(steps, step{wait: every, text: "13.8\n"})
			}
			return &play{steps: steps}, nil
		}}
		var r record
		require.Error(t, Run(ctx, src, clock, r.emit))
		assert.LessOrEqual(t, opened, 3)
		assert.InDelta(t, 24*6, len(r.texts(0)), 1)
	})
}

func TestRunDoesNotSpin(t *testing.T) {
	reads := 0
	hung := make([]step, 1<<20) // each reads nothing, at once
	for i := range hung {
		hung[i].do = func() { reads++ }
	}
	r := perform(t, nil, hung)
	assert.Less(t, reads, 2000)
	assert.Contains(t, r.texts(Lost)[0], "without waiting")

	some := hung[:spinMost/2]
	r = perform(t, nil, slices.Concat(some, []step{{wait: time.Second}}, some, []step{{wait: time.Second}}, some))
	assert.NotContains(t, r.texts(Lost)[0], "without waiting", "one that waits now and then is there")
}

func TestRunHintsAtAThief(t *testing.T) {
	lost := errors.New("the port is gone")
	brief := []step{{text: "a\n"}, {wait: 9 * time.Second, err: lost}}
	hinting := func(s *Source, _ *bubbleClock) { s.Hint = "look here" }
	want := []string{"hint: lost three times within 10 s of opening; look here"}
	assert.Empty(t, perform(t, hinting, brief, brief).texts(Marked), "twice may be chance")
	assert.Equal(t, want, perform(t, hinting, brief, brief, brief).texts(Marked))
	assert.Equal(t, want, perform(t, hinting, brief, brief, brief, brief, brief, brief, brief).texts(Marked), "once")

	long := []step{{text: "a\n"}, {wait: 11 * time.Second, err: lost}}
	assert.Empty(t, perform(t, hinting, long, brief, brief, long, brief, brief).texts(Marked))

	unheard := []step{{wait: 5 * time.Second, err: unheeded("5 rounds failed")}}
	assert.Empty(t, perform(t, hinting, unheard, unheard, unheard, unheard).texts(Marked), "nobody takes the port of a meter that is off")
	assert.Equal(t, want, perform(t, hinting, unheard, brief, brief, brief).texts(Marked))
}

func TestRunMarksClockStepsAndSleep(t *testing.T) {
	var clock *bubbleClock
	get := func(_ *Source, c *bubbleClock) { clock = c }
	const fromEpoch = 56 * 365 * 24 * time.Hour
	r := perform(t, get, []step{
		{text: "a\n"},
		{wait: time.Second, text: "b\n", do: func() { clock.step = fromEpoch }},
		{wait: time.Second, text: "c\n", do: func() { clock.step -= 5 * time.Minute }},
		{wait: time.Second, text: "d\n", do: func() { clock.step += time.Second }},
		{wait: 3 * time.Hour, text: "e\n", do: func() {}},
	})
	marks := r.texts(Marked)
	require.Len(t, marks, 3, "one second is steering")
	assert.Contains(t, marks[0], "set by 490560h")
	assert.Contains(t, marks[1], "set by -5m0s")
	assert.Contains(t, marks[2], "3h0m0s")
	assert.Equal(t, []string{"a", "b", "c", "d", "e"}, r.texts(0))
}

func TestRunFlagsTheBacklogOfAFreeze(t *testing.T) {
	var steps []step
	for range 10 {
		steps = append(steps, step{wait: time.Second, text: "even\n"})
	}
	steps = append(steps,
		step{wait: time.Minute, text: "late\nlate\nlate\nla"},
		step{text: "te\n"},
		step{wait: time.Second, text: "even\n"})
	r := perform(t, nil, steps)
	assert.Equal(t, []string{"late", "late", "late", "late"}, r.texts(Burst))
}

func TestRunFlagsWhatWaitedForTheOpening(t *testing.T) {
	r := perform(t, nil,
		[]step{{wait: time.Second, text: "early\nearly\n"}, {wait: time.Second, text: "even\n"}},
		[]step{{wait: time.Second, text: "even\n"}, {wait: time.Second, text: "even\n"}})
	assert.Equal(t, []string{"early", "early"}, r.texts(Burst))
}

// The program stands still for a minute (SIGSTOP, a machine without memory) while the meter
// talks on. What it said waits: the first read after that brings nothing, as its time was
// over long ago, and that is no silence of the meter, nor the end of the line it was in.
func TestRunKeepsWhatCameWhileItStoodStill(t *testing.T) {
	for _, stood := range []time.Duration{5 * time.Second, time.Minute, 3 * time.Hour} {
		var steps []step
		for range 10 {
			steps = append(steps, step{wait: time.Second, text: "13.8\n"})
		}
		steps = append(steps, step{text: "13."}, step{wait: stood, do: func() {}}, step{text: "9\n14.0\n"})
		r := perform(t, func(s *Source, _ *bubbleClock) {
			s.Midway, s.Quiet, s.Silence, s.Wakes = true, quietLine, 30*time.Second, true
		}, steps)
		assert.Equal(t, []string{"ended", "stopped"}, r.texts(Lost), stood)
		assert.Equal(t, []string{"13.8"}, r.texts(Fragment), "the first: %v", stood)
		assert.Equal(t, []string{"13.9", "14.0"}, r.texts(0)[9:], stood)
	}
}

// An adapter that slept with the host may say nothing any more, and looks alive. It is
// opened anew at once; what came by then is kept. One that only stood still is not.
func TestRunOpensAPortAnewAfterTheHostSlept(t *testing.T) {
	for _, c := range []struct {
		name        string
		wakes       bool
		asleep      time.Duration
		awake       time.Duration
		opened      int
		lost, marks []string
	}{
		{"a port, the host asleep", true, 3 * time.Hour, 2 * time.Second, 2, []string{"the host slept", "ended", "stopped"}, []string{"held up: the host slept or stood still for 3h0m2s"}},
		{"a port, the program stopped", true, 0, 3 * time.Hour, 1, []string{"ended", "stopped"}, []string{"held up: the host slept or stood still for 3h0m0s"}},
		{"a port, a nap", true, heldUpFor, 0, 1, []string{"ended", "stopped"}, nil},
		{"a file, the host asleep", false, 3 * time.Hour, 0, 1, []string{"ended", "stopped"}, []string{"held up: the host slept or stood still for 3h0m0s"}},
	} {
		var clock *bubbleClock
		scripts := [][]step{{{text: "a\n"}, {wait: c.awake, do: func() { clock.slept += c.asleep }}, {text: "b\n"}}, {{text: "c\n"}}}
		r := perform(t, func(src *Source, b *bubbleClock) {
			clock, src.Wakes = b, c.wakes
			src.Retry = Retry{Every: time.Hour, Later: time.Hour}
		}, scripts[:c.opened]...)
		assert.Len(t, r.texts(Opened), c.opened, c.name)
		assert.Equal(t, c.lost, r.texts(Lost), c.name)
		assert.Equal(t, c.marks, r.texts(Marked), c.name)
		assert.Equal(t, []string{"a", "b", "c"}[:1+c.opened], r.texts(0), c.name)
		if c.opened == 2 {
			at := func(text string) time.Duration {
				k := slices.IndexFunc(r.frames, func(f Frame) bool { return string(f.Text) == text })
				return r.frames[k].Boot
			}
			assert.Equal(t, at("b"), at("c"), "at once, and not with the next try")
		}
	}
}

// TestRunFlagsTheBacklogOfAFastSource: a hundred lines a second are no burst, a
// minute of them at once is.
func TestRunFlagsTheBacklogOfAFastSource(t *testing.T) {
	var steps []step
	for range 100 {
		steps = append(steps, step{wait: 10 * time.Millisecond, text: "even\n"})
	}
	steps = append(steps,
		step{wait: time.Minute, text: strings.Repeat("late\n", 5000)},
		step{text: strings.Repeat("late\n", 1000)},
		step{wait: 10 * time.Millisecond, text: "even\n"})
	r := perform(t, nil, steps)
	assert.Len(t, r.texts(Burst), 6000)
	assert.NotContains(t, r.texts(Burst), "even")

	var e Elapsed
	var last time.Duration
	for _, f := range r.frames[:6102] {
		last = e.Next(f, "a")
	}
	assert.Equal(t, 61*time.Second+10*time.Millisecond, last, "and the next line is on time again")
}

func TestRunTakesRecordsOfSeveralLinesForUsual(t *testing.T) {
	var steps []step
	for range 60 {
		steps = append(steps, step{wait: time.Second, text: "volts 13.8\namps 3.0\n"})
	}
	r := perform(t, nil, steps)
	assert.Len(t, r.frames, 120+3)
	assert.Less(t, len(r.texts(Burst)), 40, "after a few seconds it is known to be the source's way")
	assert.Zero(t, r.frames[120].Flags)
}

func TestRunRemarksDoNotBreakALineUnlessAnew(t *testing.T) {
	r := perform(t, nil, []step{
		{text: "13."}, {err: Remark{Text: "said"}}, {text: "8\n"},
		{text: "14."}, {err: Remark{Text: "rotated", Anew: true}}, {text: "9\n"},
	})
	assert.Equal(t, []string{"said", "rotated"}, r.texts(Marked))
	assert.Equal(t, []string{"13.8", "9"}, r.texts(0))
	assert.Equal(t, []string{"14."}, r.texts(Fragment))
}

func TestRunAllocatesNothingPerLine(t *testing.T) {
	steps := make([]step, 400)
	for i := range steps {
		steps[i].text = "13.741,3.359,18.0\r\n13.741,3.359,18.0\r\n"
	}
	src := Source{Ends: true, Open: func(context.Context) (Stream, error) { return &play{steps: steps}, nil }}
	lines := 0
	allocs := testing.AllocsPerRun(5, func() {
		_ = Run(context.Background(), src, SystemClock{}, func(Frame) error { lines++; return nil })
	})
	assert.Greater(t, lines, 5*800)
	assert.Less(t, allocs, 40.0, "for 800 lines")
}
