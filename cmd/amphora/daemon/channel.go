package daemon

import (
	"context"
	"errors"
	"log/slog"
	"sync"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/dashboards/live"
	"amphora/dashboards/notify"
	"amphora/dashboards/push"
)

// Settings are those of one channel.
type Settings struct {
	Name    string
	Source  capture.Source
	Current *capture.Source // the meter for the current, where Source is for the voltage alone; else nil
	Decoder string          // auto, a setting, or what TwoMeters returns
	Options analyze.Options
	Silence time.Duration // without a reading for longer, the channel counts as silent; 0 goes by the meter, see limitOfSilence

	// Follow is the log file to follow, in place of Source; nil for any other source.
	Follow *capture.File
}

// channel records one source and tells its story.
type channel struct {
	set     Settings // as configured
	label   label    // of its battery, as the logbook had it when the program began
	data    string
	boot    string
	clock   capture.Clock
	log     *slog.Logger
	record  *journal.Channel
	books   *bookkeeper
	board   *live.Hub
	notes   *notify.Center  // nil where nobody is told
	sinks   []push.Sink     // that everything is pushed to
	outlets []push.Outlet   // those, and the brokers that are told
	tasks   *sync.WaitGroup // what must end before the journal is closed
	until   context.Context // of those

	places places // which writes places down, and has a lock of its own

	limiting sync.Mutex // held by whoever sets limits

	mu         sync.Mutex // guards what follows
	story      *story
	stored     stored
	storeEvery time.Duration   // boot clock
	shapeKept  <-chan struct{} // closed once the last charge's shape is in its file; nil where none was settled
	doubted    []stored        // sessions that are settled, but perhaps with the wrong sign
	names      names           // of charges that were under way when the program began
	status     status
	tells      sourceLog
	placed     place         // that was last given to be written down
	latest     capture.Frame // when the last one came
	heard      *memory       // of the battery, not yet in the journal
	anew       string        // a decoder that was found to be the right one, since the last line

	inForce   analyze.Limits // those of the configuration, or others that were set
	limitsSet *time.Time     // when they were; nil while they are the same

	following *following // nil unless a file is followed
	topic     topic
	out       outbox
	skip      map[push.Sink]uint64 // while the journal is replayed: what each has already
	trouble   string               // of the pushing, as last published
	vigil     vigil
}

const (
	publishEvery = 500 * time.Millisecond
	summaryEvery = 5 * time.Second // the running summary is worked out so often
)

// storing is how often a session under way is stored, and the place in a log that is followed. A
// journal that is synced seldom, to spare a memory card, is not to be outdone by that: the lines
// tell all of it again.
func storing(sync time.Duration) time.Duration { return max(10*time.Second, 5*sync) }

// run listens until the context ends.
func (c *channel) run(ctx context.Context) error {
	showing, stop := context.WithCancel(ctx)
	var shows sync.WaitGroup
	shows.Go(func() { c.show(showing) })
	err := c.listen(ctx)
	stop()
	shows.Wait()
	if c.following != nil {
		last, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopLimit/2)
		c.keepProgress(last, c.following.places.next(), c.following.now)
		cancel()
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.status.stopped(err)
	c.status.stale = true // nobody will work the summary out any more
	c.storeRunning()
	c.publish()
	switch {
	case errors.Is(err, capture.ErrEnded):
		c.log.Info("the source has ended", "channel", c.set.Name)
		return nil
	case ctx.Err() != nil:
		return nil
	}
	return err
}

// listen hears out the source, or both of them.
func (c *channel) listen(ctx context.Context) error {
	if c.set.Current != nil {
		return c.listenToTwo(ctx)
	}
	return capture.Run(ctx, c.set.Source, c.clock, func(f capture.Frame) error {
		c.frame(&f)
		return nil
	})
}

// frame is one line or mark: into the journal first, then understood.
func (c *channel) frame(f *capture.Frame) {
	if c.repeated(f) {
		return
	}
	c.remember(f)
	seq := c.record.Append(*f)
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.following != nil {
		c.following.last = seq
	}
	c.status.frame(f)
	c.tells.frame(f)
	c.latest = capture.Frame{Wall: f.Wall, Boot: f.Boot}
	c.story.frame(seq, f, c.boot, c.turn)
	c.tellAnew()
	if c.story.asking {
		c.ask()
	}
	c.send(seq)
	if c.status.changed() {
		c.publish()
	}
}

// repeated tells whether a line of a followed file is in the journal already.
func (c *channel) repeated(f *capture.Frame) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.following != nil && f.Flags&capture.NotLine == 0 && c.following.knows(f)
}

// show publishes the channel a few times a second while it changes, and stores the
// session under way now and then.
func (c *channel) show(ctx context.Context) {
	tick := time.NewTicker(publishEvery)
	defer tick.Stop()
	lines, stored, untold := uint64(0), uint64(0), 0
	var health journal.Health
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		c.mu.Lock()
		boot := c.clock.Boot()
		if c.story.lines != stored && boot-c.stored.at >= c.storeEvery {
			stored, c.stored.at = c.story.lines, boot
			c.storeRunning()
		}
		c.noteFollowing(boot)
		c.silence(boot)
		// The disk may fail, or be back, while no line comes.
		now, waiting := c.record.Health(), c.untold().Count()
		c.noteHealth(now)
		if c.story.lines != lines || waiting != untold || c.pushNews() || c.status.overdue(boot) || now.Fault != health.Fault || now.Pending != health.Pending {
			lines, untold, health = c.story.lines, waiting, now
			c.publish()
		}
		c.mu.Unlock()
	}
}

// silence tells the machine how long it has had to wait, while a charge is under
// way: after one, a meter that is switched off is no news.
func (c *channel) silence(boot time.Duration) {
	if s := c.story; s.last.ok && !s.idle() {
		if events := s.machine.Silent(c.vigil.waited(boot, s.last.boot).Seconds()); len(events) > 0 {
			c.turn(turn{events: events})
		}
	}
}

// turn takes what a frame brought about, live or replayed.
func (c *channel) turn(t turn) {
	if t.chose != "" && !c.story.replaying {
		mark := decoderMark
		if t.relaid {
			mark = relaidMark
			c.log.Warn("the lines are laid out otherwise than before; reading them anew", "channel", c.set.Name, "before", c.story.chosen, "now", t.chose)
		} else {
			c.log.Info("decoder chosen", "channel", c.set.Name, "decoder", t.chose)
		}
		c.remark(mark + t.chose)
	}
	if t.anew {
		c.anew = t.chose
		return
	}
	if t.closed {
		c.storeClosed()
		c.emptied()
	}
	for k := range t.events {
		c.names.give(t.events[k].Session)
		c.event(&t.events[k])
	}
	c.notice(&t)
	c.story.machine.Drain()
	c.writePlace()
}

func (c *channel) event(e *analyze.Event) {
	if !c.story.replaying {
		c.record.SyncSoon()
		c.report(e)
	}
	switch e.Kind {
	case analyze.SessionBegan:
		c.noteDecoders()
		c.store(e.Session, false)
	case analyze.SessionOver:
		c.store(e.Session, false)
	case analyze.SessionClosed:
		c.store(e.Session, true)
		c.settled()
	}
	c.out.charged(e, c.story.machine)
	c.status.stale = true
}
