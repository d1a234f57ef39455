package influx

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"path/filepath"
	"time"

	"amphora/dashboards/push/spool"
)

const (
	// noteEvery is how often it is written down how far all is delivered. A kill
	// sends what came since once more, which overwrites it.
	noteEvery = 5 * time.Minute
	// longDelivery is after how long the delivery of what has gathered leaves off for a
	// moment, for what else is due.
	longDelivery = 10 * time.Second
	// diskRetry is the pause after the disk refused.
	diskRetry = 10 * time.Second
	// dayLong is for when there is nothing to do.
	dayLong = 24 * time.Hour
)

// run delivers until it is to stop.
func (k *sink) run(ctx context.Context) {
	defer close(k.done)
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-k.closing:
			k.finish(ctx)
			return
		case <-ctx.Done():
			if k.stopping() {
				k.finish(ctx)
			}
			return // else it is as if it had been killed
		case <-k.wake:
		case <-timer.C:
		}
		timer.Reset(k.turn(ctx))
	}
}

// stopping tells whether a stop was asked for.
func (k *sink) stopping() bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.closed
}

// turn does what is due and returns how long nothing else will be.
func (k *sink) turn(ctx context.Context) time.Duration {
	var due []time.Time
	if now := time.Now(); now.Before(k.retry) {
		due = append(due, k.retry, k.sealDue(now), k.keep(now))
	} else if err := k.deliver(ctx); err != nil {
		due = append(due, k.failed(ctx, err), k.keep(time.Now()))
	} else {
		due = append(due, k.sealDue(time.Now()), k.note(time.Now()))
		if k.queue.Level().Batches > 0 {
			due = append(due, time.Now())
		}
	}
	k.countDropped()
	now := time.Now()
	due = append(due, k.herald.speak(now))
	wait := dayLong
	for _, at := range due {
		if !at.IsZero() {
			wait = min(wait, max(0, at.Sub(now)))
		}
	}
	return wait
}

// deliver sends what waits, the oldest first, until nothing does or it takes long.
func (k *sink) deliver(ctx context.Context) error {
	for began := time.Now(); time.Since(began) < longDelivery && ctx.Err() == nil; {
		k.sealDue(time.Now())
		b, err := k.queue.Take()
		if b == nil || err != nil {
			return err
		}
		if err := k.hand(ctx, b); err != nil {
			k.queue.Back()
			return err
		}
		k.queue.Done(b)
		k.well()
		if k.queue.Level().Memory > k.memory/4 {
			k.keep(time.Now()) // the server is slower than what comes, or far behind
		}
	}
	return ctx.Err()
}

// hand sends one batch, and puts aside what of it is refused.
func (k *sink) hand(ctx context.Context, b *spool.Batch) error {
	err := k.courier.post(ctx, b.Body)
	why, refused := errors.AsType[*refusal](err)
	if !refused {
		return err
	}
	list, err := k.split(ctx, b.Body, why)
	if err != nil {
		return err
	}
	if err := putAside(filepath.Join(k.dir, asideName), list, time.Now()); err != nil {
		return fmt.Errorf("put points aside: %w", err)
	}
	k.mu.Lock()
	k.status.Refused += uint64(len(list))
	k.mu.Unlock()
	if len(list) > 0 {
		k.herald.tell(slog.LevelWarn, "push: points are refused for good and put aside", "points", len(list), "file", filepath.Join(k.dir, asideName), "why", list[0].why)
	}
	return nil
}

// well notes that the server takes points.
func (k *sink) well() {
	k.acquainted()
	k.news, k.retry = true, time.Time{}
	k.pace.reset()
	k.mu.Lock()
	since := k.status.Since
	k.status.Since, k.status.Why = time.Time{}, ""
	k.mu.Unlock()
	if !since.IsZero() {
		k.herald.tell(slog.LevelInfo, "push: points are taken again", "away", time.Since(since).Round(time.Second), "waiting", k.queue.Level().Points)
	}
}

// failed notes that it does not, and returns when to try again. A try that a stop
// has cut short says nothing.
func (k *sink) failed(ctx context.Context, err error) time.Time {
	now := time.Now()
	if ctx.Err() != nil {
		return now
	}
	asked := time.Duration(0)
	if b, ok := errors.AsType[*busy](err); ok {
		asked = b.after
	}
	k.retry = now.Add(k.pace.next(asked))
	k.mu.Lock()
	k.status.Failures++
	k.status.Why = err.Error()
	if k.status.Since.IsZero() {
		k.status.Since = now
	}
	k.mu.Unlock()
	k.herald.tell(slog.LevelWarn, "push: points are not taken, and wait on disk", "why", err)
	return k.retry
}

// keep puts what waits on disk. After an error it returns when to try that again.
func (k *sink) keep(now time.Time) time.Time {
	if err := k.queue.Keep(); err != nil {
		k.herald.tell(slog.LevelError, "push: the disk refuses what waits; it is kept in memory", "error", err)
		return now.Add(diskRetry)
	}
	return time.Time{}
}

// note writes down now and then how far all is delivered, and returns when it is
// time to do that again.
func (k *sink) note(now time.Time) time.Time {
	if !k.news {
		return time.Time{}
	}
	if k.noted.IsZero() {
		k.noted = now
	}
	if due := k.noted.Add(noteEvery); now.Before(due) {
		return due
	}
	k.noted = now
	if err := k.queue.Note(); err != nil {
		k.herald.tell(slog.LevelError, "push: it cannot be noted what was delivered; a restart will send some points twice", "error", err)
		return now.Add(diskRetry)
	}
	k.news = false
	return time.Time{}
}

// countDropped tells of points that were given up since it last did.
func (k *sink) countDropped() {
	if n := k.queue.Level().Dropped; n > k.dropped {
		k.herald.tell(slog.LevelWarn, "push: there is no room for all that waits; the oldest points are given up", "points", n)
		k.dropped = n
	}
}

// finish is the last turn: what has just come is delivered if the server is well,
// and all that is not is kept.
func (k *sink) finish(ctx context.Context) {
	if k.retry.IsZero() {
		_ = k.deliver(ctx) // what is not waits for the next start
	}
	if err := k.queue.Note(); err != nil {
		k.herald.log.Error("push: the disk refuses what waits; the journal will tell it again", "target", k.herald.name, "error", err)
	}
}
