package capture

import (
	"context"
	"errors"
	"io"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
)

// record keeps the frames that a Run emits.
type record struct {
	mu     sync.Mutex
	frames []Frame
}

func (r *record) emit(f Frame) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	f.Text = append([]byte(nil), f.Text...)
	r.frames = append(r.frames, f)
	return nil
}

// texts gives the frames that have one of the flags, or with 0 the whole lines.
func (r *record) texts(flags Flags) []string {
	r.mu.Lock()
	defer r.mu.Unlock()
	var texts []string
	for _, f := range r.frames {
		if f.Flags&flags != 0 || flags == 0 && f.Flags&^Burst == 0 {
			texts = append(texts, string(f.Text))
		}
	}
	return texts
}

// bubbleClock is the clock of a synctest bubble, with a wall clock that can be set.
type bubbleClock struct {
	start time.Time
	step  time.Duration
	slept time.Duration
}

func newBubbleClock() *bubbleClock { return &bubbleClock{start: time.Now()} }

func (c *bubbleClock) Wall() time.Time { return time.Now().Round(0).Add(c.step + c.slept) }

func (c *bubbleClock) Boot() time.Duration { return c.Awake() + c.slept }

func (c *bubbleClock) Awake() time.Duration { return time.Minute + time.Since(c.start) }

// play is a stream that follows a script: each step waits, then gives its text
// or its error.
type play struct {
	steps []step
	shut  func()
}

type step struct {
	wait time.Duration
	text string
	err  error
	do   func()
}

func (p *play) Read(b []byte) (int, error) {
	if len(p.steps) == 0 {
		return 0, io.EOF
	}
	s := &p.steps[0]
	if s.wait > tick && s.do == nil {
		s.wait -= tick
		time.Sleep(tick)
		return 0, nil
	}
	time.Sleep(s.wait)
	if s.do != nil {
		s.do()
	}
	p.steps = p.steps[1:]
	return copy(b, s.text), s.err
}

func (p *play) Close() error {
	if p.shut != nil {
		p.shut()
	}
	return nil
}

func (p *play) String() string { return "a script" }

// acts is a source that opens one script after the other, nil being a failure to
// open. Run is told to stop when there are no more.
func acts(stop context.CancelFunc, scripts ...[]step) Source {
	return Source{Name: "acts", Open: func(context.Context) (Stream, error) {
		if len(scripts) == 0 {
			stop()
			return nil, errors.New("no more")
		}
		steps := slices.Clone(scripts[0])
		scripts = scripts[1:]
		if steps == nil {
			return nil, errors.New("not there")
		}
		return &play{steps: steps}, nil
	}}
}

// perform runs scripts in a bubble, to their end.
func perform(t *testing.T, change func(*Source, *bubbleClock), scripts ...[]step) *record {
	t.Helper()
	var r record
	synctest.Test(t, func(t *testing.T) {
		ctx, stop := context.WithCancel(context.Background())
		defer stop()
		src, clock := acts(stop, scripts...), newBubbleClock()
		if change != nil {
			change(&src, clock)
		}
		require.ErrorIs(t, Run(ctx, src, clock, r.emit), context.Canceled)
	})
	return &r
}
