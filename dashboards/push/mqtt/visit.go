package mqtt

import (
	"context"
	"time"
)

// visit connects, and tells the broker what there is until the connection breaks or
// the context ends.
func (t *Target) visit(ctx context.Context) error {
	here := stateBody{"offline", moment(t.wall())}
	t.caller.will = &message{topic: t.tree.state(), payload: payload(time.Time{}, body(here))}
	l, err := t.caller.connect(ctx)
	if err != nil {
		return err
	}
	t.connected(l.version)
	// What is under way when the context ends may still come to its end.
	grace, cancel := outlast(ctx, lastWords)
	defer cancel()
	t.out.again()
	here.State = "online"
	err = l.send(grace, []*message{t.state(here)}, t.refused)
	if err == nil {
		err = t.deliver(ctx, grace, l)
	}
	if err == nil {
		here.State = "offline"
		err = t.farewell(grace, l, here)
	}
	l.close(err == nil)
	return err
}

func (t *Target) state(s stateBody) *message {
	return &message{topic: t.tree.state(), payload: payload(t.wall(), body(s))}
}

// deliver sends what there is until the context ends, which is no error, or the
// connection breaks.
func (t *Target) deliver(ctx, grace context.Context, l *link) error {
	// The first message goes alone: should it be the one that breaks the connection
	// each time, that shows.
	window := 1
	for ctx.Err() == nil {
		batch := t.out.next(min(window, l.inflight))
		if len(batch) == 0 {
			select {
			case <-ctx.Done():
			case <-l.broken:
				return l.why
			case <-t.out.wake:
			}
			continue
		}
		if err := t.hand(grace, l, batch); err != nil {
			return err
		}
		window = min(2*window, mostInFlight)
	}
	return nil
}

// hand hands messages over.
func (t *Target) hand(ctx context.Context, l *link, batch []*message) error {
	if err := l.send(ctx, batch, t.refused); err != nil {
		if len(batch) == 1 && t.out.broke(batch[0]) {
			t.log.Error("push: dropped a message that breaks the connection to the broker each time", "topic", batch[0].topic, "bytes", len(batch[0].payload))
		}
		return err
	}
	for _, m := range batch {
		t.out.sent(m)
		if len(m.payload) == 0 {
			t.remember(t.memory.gone(m.topic))
		}
	}
	t.remember(t.memory.keep(t.out.happenings()))
	return nil
}

// remember says where something could not be written down.
func (t *Target) remember(err error) {
	if err != nil {
		t.complain("push: cannot write down what a broker retains and what waits for it; after a restart that is not known", "error", err)
	}
}

// farewell says the last there is to say, and that we are gone.
func (t *Target) farewell(ctx context.Context, l *link, s stateBody) error {
	t.watching.Wait()
	t.watcher.farewell(t.wall())
	for batch := t.out.next(l.inflight); len(batch) > 0; batch = t.out.next(l.inflight) {
		if err := t.hand(ctx, l, batch); err != nil {
			return err
		}
	}
	return l.send(ctx, []*message{t.state(s)}, t.refused)
}

// outlast is a context that ends a while after another.
func outlast(ctx context.Context, d time.Duration) (context.Context, context.CancelFunc) {
	longer, cancel := context.WithCancel(context.WithoutCancel(ctx))
	stop := context.AfterFunc(ctx, func() { time.AfterFunc(d, cancel) })
	return longer, func() {
		stop() // or each visit would leave something with ctx
		cancel()
	}
}
