package capture

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"time"
)

// Run listens to a source until the context ends, the source ends for good, or
// emit fails. It calls emit for every line and every mark, one at a time, from
// this goroutine: as long as emit does not return nothing more is read, and the
// source waits. The frame's Text is valid until emit returns.
//
// A source that is lost, or not there yet, is a state: it is marked once, with
// the reason, and tried again and again. Run returns the context's error,
// ErrEnded, what emit returned, or for a Strict source the first error of Open.
func Run(ctx context.Context, src Source, clock Clock, emit func(Frame) error) error {
	l := &listener{src: src, clock: clock, emit: emit, block: make([]byte, 64<<10)}
	l.onLine = l.line
	l.now()
	l.awaySince = l.boot
	for first := true; ; first = false {
		stream, err := src.Open(ctx)
		if err == nil {
			err = l.listen(ctx, stream)
			_, l.there = errors.AsType[unheeded](err)
		} else if src.Strict && first {
			return err
		}
		l.lost(reason(ctx, err))
		switch {
		case ctx.Err() != nil || l.refused != nil:
			return errors.Join(l.refused, ctx.Err())
		case src.Ends && errors.Is(err, io.EOF):
			return ErrEnded
		case src.Ends:
			return fmt.Errorf("%s: %w", src.Name, err)
		}
		if errors.Is(err, errSlept) {
			continue // what the meter says meanwhile is not missed
		}
		if !l.pause(ctx) {
			l.lost(stopped)
			return errors.Join(l.refused, ctx.Err())
		}
	}
}

// listener is the state of one Run.
type listener struct {
	src   Source
	clock Clock
	emit  func(Frame) error

	split   Splitter
	proof   proof
	onLine  func([]byte, Flags) // l.line, bound once so that no line costs an allocation
	block   []byte
	bursts  bursts
	noise   noise
	refused error // what emit returned; everything stops

	wall  time.Time // the present moment, as now found it
	boot  time.Duration
	slept time.Duration // of the time since boot
	burst Flags         // of the lines of this read

	up        bool          // the source is there
	opened    time.Duration // when it was opened
	sleptBy   time.Duration // how long the host had slept by then
	heard     time.Duration // when its last byte came
	quiet     time.Duration // how long it has been listened to since then
	patience  time.Duration // how long it may be silent after silent tries; see overdue
	empty     int           // reads in a row that returned nothing, without waiting
	awaySince time.Duration // when it was lost
	away      string        // why, as last marked
	marked    time.Duration // when that was marked
	brief     int           // losses in a row, each soon after opening
	there     bool          // nothing took it away: it was given up as it told nothing
}

// listen reads one stream until it is lost. The error is never nil.
func (l *listener) listen(ctx context.Context, stream Stream) error {
	defer stream.Close()
	l.found(stream)
	for {
		before, slept := l.boot, l.wokeUp()
		n, err := stream.Read(l.block)
		l.now()
		l.heldUp(l.boot - before)
		if n > 0 {
			l.take(l.block[:n])
		} else if err == nil {
			err = l.idle(l.boot - before)
		}
		if remark, ok := errors.AsType[Remark](err); ok {
			l.remark(remark)
			err = nil
		}
		if err == nil && slept {
			err = errSlept
		}
		if err == nil {
			err = errors.Join(l.refused, ctx.Err())
		}
		if err != nil {
			l.split.Flush(l.onLine)
			return err
		}
		l.now() // emit may have taken its time
	}
}

// found marks that the source is there.
func (l *listener) found(stream Stream) {
	l.now()
	l.split.begin()
	midway := l.src.Midway
	if s, ok := stream.(entered); ok {
		midway = s.midway()
	}
	if midway {
		l.split.join()
	}
	l.bursts.opened(l.boot)
	l.proof = proof{of: l.src.Expect}
	l.noise = noise{}
	l.up, l.opened, l.sleptBy, l.heard, l.quiet, l.empty, l.away = true, l.boot, l.slept, l.boot, 0, 0, ""
	l.mark(Opened, "opened "+stream.String())
}

// take splits what one read brought.
func (l *listener) take(block []byte) {
	l.heard, l.quiet, l.empty, l.burst = l.boot, 0, 0, 0
	ends := lineEnds(block)
	if l.bursts.read(l.boot, ends) {
		l.burst = Burst
	}
	l.split.Feed(block, l.onLine)
	if l.noise.take(l.boot, block, ends) {
		l.mark(Marked, noiseHint)
	}
}

// line stamps one line and hands it on.
func (l *listener) line(text []byte, flags Flags) {
	doubted, wrong := l.proof.ask(text, flags)
	if doubted {
		flags |= Doubted
	}
	l.send(Frame{Wall: l.wall, Boot: l.boot, Text: text, Flags: flags | l.burst})
	if wrong {
		l.mark(Marked, fmt.Sprintf(WrongDevice+"none of its first %d lines matches %q; nothing of it is counted until one does", expectWithin, l.src.Expect))
	}
}

// mark hands on something that is no line.
func (l *listener) mark(kind Flags, text string) {
	l.send(Frame{Wall: l.wall, Boot: l.boot, Text: []byte(text), Flags: kind})
}

// send calls emit until it has failed once.
func (l *listener) send(f Frame) {
	if l.refused == nil {
		l.refused = l.emit(f)
	}
}

// remark marks what the stream had to say.
func (l *listener) remark(r Remark) {
	if r.Anew {
		l.split.Flush(l.onLine)
		l.split.begin()
	}
	l.mark(Marked, r.Text)
}

// pause waits for the next try; it returns false if there is none any more.
func (l *listener) pause(ctx context.Context) bool {
	timer := time.NewTimer(l.src.Retry.after(l.clock.Boot() - l.awaySince))
	defer timer.Stop()
	select {
	case <-ctx.Done():
	case <-timer.C:
	}
	l.now()
	return ctx.Err() == nil
}

// reason says why a source is away.
func reason(ctx context.Context, err error) string {
	switch {
	case ctx.Err() != nil:
		return stopped
	case errors.Is(err, io.EOF):
		return atItsEnd
	}
	return err.Error()
}

// lineEnds counts the lines that end in a block, whichever end they have.
func lineEnds(block []byte) int {
	return max(bytes.Count(block, []byte{'\n'}), bytes.Count(block, []byte{'\r'}))
}
