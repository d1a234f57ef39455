package influx

import (
	"bytes"
	"context"
	"maps"
	"sync"
	"time"

	"amphora/dashboards/push"
	"amphora/dashboards/push/points"
	"amphora/dashboards/push/spool"
)

const (
	// calmAge is how long points gather behind others, as while the server is away. It
	// spares the disk; what a kill takes of them the journal tells again.
	calmAge = 5 * time.Minute
	// mostText is how large a batch may become, in bytes, whatever its points.
	mostText = 1 << 20
	// lastTry is how long a stop waits for what has just come to be delivered, and
	// closeLimit how long for all of it.
	lastTry    = time.Second
	closeLimit = 2 * time.Second
)

// sink gathers points into batches and has them delivered, by one goroutine.
type sink struct {
	server *Server
	queue  *spool.Queue
	most   int
	age    time.Duration
	memory int // bytes that may wait in memory
	dir    string

	mu     sync.Mutex
	lines  *points.Encoder // the batch that is being gathered
	count  int
	marks  map[string]uint64
	since  time.Time // its first point came
	broken uint64    // points that could not be written as lines
	closed bool
	status push.Status

	wake    chan struct{}
	closing chan struct{}
	done    chan struct{}
	cancel  context.CancelFunc

	// What follows is the goroutine's alone.
	courier courier
	pace    pace
	herald  herald
	known   bool      // the server has taken a point of ours, now or in an earlier life
	retry   time.Time // not before; zero while the server is well
	noted   time.Time // when it was last written down how far all is safe
	news    bool      // something was delivered since
	dropped uint64    // points, as last told of
}

func (k *sink) Name() string { return k.server.Name() }

func (k *sink) After(channel string) uint64 { return k.queue.After(channel) }

// Take adds the points of a record to the batch.
func (k *sink) Take(r push.Record) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.closed {
		return
	}
	before := k.count
	for n := range r.Samples {
		k.counted(k.lines.Sample(r.Channel, r.Battery, &r.Samples[n]))
	}
	for _, s := range r.Sessions {
		k.counted(k.lines.Session(s))
	}
	if k.count == before {
		return // nothing that could be told again
	}
	k.marks[r.Channel] = r.Seq
	if before == 0 {
		k.since = time.Now()
	}
	full := k.count >= k.most || len(k.lines.Bytes()) >= mostText
	if full {
		k.seal()
	}
	if full || before == 0 {
		k.poke()
	}
}

// counted counts a point.
func (k *sink) counted(written bool, err error) {
	switch {
	case err != nil:
		k.broken++
	case written:
		k.count++
	}
}

func (k *sink) poke() {
	select {
	case k.wake <- struct{}{}:
	default:
	}
}

// seal ends the batch. The caller holds mu.
func (k *sink) seal() {
	if k.count == 0 {
		return
	}
	k.queue.Push(k.count, bytes.Clone(k.lines.Bytes()), maps.Clone(k.marks))
	k.lines.Reset()
	clear(k.marks)
	k.count = 0
}

// sealDue ends the batch if its first point has waited long enough, and returns when
// that will be; zero where there is none. Behind others there is no hurry.
func (k *sink) sealDue(now time.Time) time.Time {
	age := k.age
	if k.queue.Level().Batches > 0 {
		age = calmAge
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.count == 0 {
		return time.Time{}
	}
	if due := k.since.Add(age); now.Before(due) {
		return due
	}
	k.seal()
	return time.Time{}
}

// Sync puts everything that was taken on disk, if it is not delivered.
func (k *sink) Sync(ctx context.Context) error {
	k.mu.Lock()
	k.seal()
	k.mu.Unlock()
	k.poke()
	done := make(chan error, 1)
	go func() { done <- k.queue.Note() }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return ctx.Err() // a disk that does not answer
	}
}

func (k *sink) Status() push.Status {
	level := k.queue.Level()
	k.mu.Lock()
	defer k.mu.Unlock()
	s := k.status
	s.Pending = level.Points + k.count
	s.Dropped = level.Dropped + k.broken
	return s
}

// Close delivers what has just come, for a moment, keeps the rest, and stops.
func (k *sink) Close() {
	k.mu.Lock()
	closed := k.closed
	k.closed = true
	k.seal()
	k.mu.Unlock()
	if closed {
		return
	}
	close(k.closing)
	last := time.AfterFunc(lastTry, k.cancel)
	defer last.Stop()
	limit := time.NewTimer(closeLimit)
	defer limit.Stop()
	select {
	case <-k.done:
	case <-limit.C: // the disk does not answer
	}
	k.cancel()
}
