package mqtt

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"log/slog"
	"math/rand/v2"
	"sync"
	"time"

	"amphora/dashboards/push"
)

// Target is one broker that is told.
type Target struct {
	o         Options
	wall      func() time.Time
	log       *slog.Logger
	tree      tree
	out       *outbox
	watcher   *watcher
	describer *describer
	memory    *memory
	caller    caller
	waits     waits

	mu     sync.Mutex
	status push.Status

	stop    context.CancelFunc
	running sync.WaitGroup

	// Of run alone.
	met      time.Time // when the broker let us in this time; zero where it did not
	logged   time.Time // when a failure was, last
	quiet    bool      // that we connected need not be logged
	watching sync.WaitGroup
}

const (
	// mostInFlight is how many messages may wait for their acknowledgement at once.
	mostInFlight = 16
	// lastWords is how long the end may take.
	lastWords = 1500 * time.Millisecond
	// logEvery is how often failures are logged at most.
	logEvery = time.Minute
)

// waits are how long to wait between two tries to connect.
type waits struct {
	first, longest time.Duration
	refused        time.Duration // where the broker does not want us
	steady         time.Duration // how long a connection must have held for the next try to be quick
}

// ordinaryWaits have us back within ten seconds of a broker's return: the longest
// wait and the time that a try may take are less than that together. Where it
// refuses us nothing gets better unless somebody changes something.
var ordinaryWaits = waits{500 * time.Millisecond, 5 * time.Second, 30 * time.Second, 5 * time.Second}

// Open begins to tell a broker how things stand. An error is one of the settings; a
// broker that cannot be reached is none.
func Open(o Options) (*Target, error) {
	t, err := newTarget(o)
	if err != nil {
		return nil, err
	}
	t.start()
	return t, nil
}

func (t *Target) start() {
	ctx, stop := context.WithCancel(context.Background())
	t.stop = stop
	t.running.Go(func() { t.run(ctx) })
}

// Close tells the broker that we are gone and returns within two seconds, whatever
// the broker does.
func (t *Target) Close() {
	t.stop()
	t.running.Wait()
}

func newTarget(o Options) (*Target, error) {
	address, _, _, err := o.host()
	if err != nil {
		return nil, err
	}
	t := &Target{o: o, wall: o.Wall, log: o.Log, tree: tree{o.Topic}, out: newOutbox(), waits: ordinaryWaits}
	if t.wall == nil {
		t.wall = time.Now
	}
	if t.log == nil {
		t.log = slog.New(slog.DiscardHandler)
	}
	t.status.Name = "mqtt " + address
	t.status.Since, t.status.Why = t.wall().UTC(), "not connected yet"
	t.log = t.log.With("target", t.status.Name)
	id := clientID(o.Instance, address)
	t.describer = &describer{prefix: o.Discovery, tree: t.tree, node: id, program: o.Program}
	t.caller = caller{settings: &t.o.Settings, id: id}
	t.watcher = newWatcher(o.Hub, t.tree, t.out, o.Every, t.warm)

	ours := []string{t.tree.state()}
	for _, c := range o.Channels {
		for _, what := range channelTopics {
			ours = append(ours, t.tree.of(c, what))
		}
		ours = append(ours, t.describer.topics(c)...)
		for _, m := range t.describer.describe(c, false) {
			t.out.state(m)
		}
	}
	if t.memory, err = recall(o.memory(address), ours); err != nil {
		t.log.Warn("push: " + err.Error())
	}
	for topic := range t.memory.stale {
		t.out.state(&message{topic: topic})
	}
	for _, m := range t.memory.events {
		t.out.happened(m)
	}
	return t, nil
}

// clientID is the same at each start of a daemon, and no other's: a broker throws
// out the one of two that came first. Every broker takes 23 letters and digits (MQTT
// 3.1.1, 3.1.3.1).
func clientID(of ...string) string {
	h := sha256.New()
	for _, text := range of {
		h.Write(append([]byte(text), 0))
	}
	return "amphora" + hex.EncodeToString(h.Sum(nil))[:16]
}

// warm describes the temperature of a channel, once one has been measured.
func (t *Target) warm(channel string) {
	for _, m := range t.describer.describe(channel, true) {
		t.out.state(m)
	}
}

// run tells the broker how things stand until the context ends.
func (t *Target) run(ctx context.Context) {
	t.watching.Go(func() { t.watch(ctx) })
	defer func() {
		t.watching.Wait()
		t.remember(t.memory.keep(t.out.happenings()))
	}()
	wait := time.Duration(0)
	for ctx.Err() == nil {
		t.met = time.Time{}
		err := t.visit(ctx)
		if ctx.Err() != nil {
			return
		}
		t.failed(err)
		t.remember(t.memory.keep(t.out.happenings()))
		if !t.met.IsZero() && time.Since(t.met) > t.waits.steady {
			wait = 0
		}
		wait = min(max(2*wait, t.waits.first), t.waits.longest)
		if errors.Is(err, errRefused) {
			wait = t.waits.refused
		}
		pause(ctx, wait)
	}
}

// watch looks for what changed.
func (t *Target) watch(ctx context.Context) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		t.watcher.look(t.wall())
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// pause waits, a little less than asked for, so that those who lost the same broker
// do not come back all at once.
func pause(ctx context.Context, d time.Duration) {
	timer := time.NewTimer(d - rand.N(d/5))
	defer timer.Stop()
	select {
	case <-ctx.Done():
	case <-timer.C:
	}
}
