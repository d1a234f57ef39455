package daemon

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"sync"
	"time"

	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/dashboards/live"
	"amphora/dashboards/notify"
	"amphora/dashboards/push"
	"amphora/dashboards/push/mqtt"
)

// Config is what a daemon is made of.
type Config struct {
	Data     string // the folder of journal and logbook
	Channels []Settings
	Journal  journal.Options
	Retain   journal.Policy
	Clock    capture.Clock
	Log      *slog.Logger
	// Notify says who is told of what happens; without targets, nobody is. Its
	// folder, log and clock are the daemon's.
	Notify notify.Options
	Push   []push.Target // to which everything is pushed
	// Brokers are told how things stand. Their hub, channels, memory, log and clock
	// are the daemon's.
	Brokers []mqtt.Options
}

// Daemon records and judges channels until its context ends.
type Daemon struct {
	cfg      Config
	journal  *journal.Journal
	book     *logbook.Book
	books    *bookkeeper
	hub      *live.Hub
	notes    *notify.Center // nil where nobody is told
	sinks    []push.Sink
	outlets  []push.Outlet // those, and the brokers
	channels []*channel
	leftOut  error // of channels that are configured, but cannot be recorded
	tasks    sync.WaitGroup
	until    context.Context
	end      context.CancelFunc
}

// BookFile is where the logbook of a data folder is.
func BookFile(data string) string { return filepath.Join(data, "logbook.db") }

// NotifyDir is where a data folder holds what was told, and to whom.
func NotifyDir(data string) string { return filepath.Join(data, "notify") }

// pushDir is where a data folder holds what waits to be pushed.
func pushDir(data string) string { return filepath.Join(data, "push") }

// stopLimit is how long a clean stop may take.
const stopLimit = 4 * time.Second

// Open takes the data folder, repairs what a crash left, and replays what is
// unfinished, so that the channels stand where they would without it.
func Open(ctx context.Context, cfg Config) (*Daemon, error) {
	if err := os.MkdirAll(cfg.Data, 0o750); err != nil {
		return nil, fmt.Errorf("make the data folder: %w; name another with data: or --data, or give this one to the user who runs amphora", err)
	}
	cfg.Journal.BootID = capture.BootID()
	cfg.Journal.Log = cfg.Log
	j, err := journal.Open(cfg.Data, cfg.Journal)
	if err != nil {
		return nil, err
	}
	d := &Daemon{cfg: cfg, journal: j, hub: live.NewHub(cfg.Clock)}
	d.until, d.end = context.WithCancel(context.WithoutCancel(ctx))
	if err := d.open(ctx); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return d, nil
}

func (d *Daemon) open(ctx context.Context) error {
	book, damage, err := logbook.Recover(ctx, BookFile(d.cfg.Data))
	if err != nil {
		return err
	}
	if damage != nil {
		d.cfg.Log.Error("the logbook was damaged; what was sound was kept, and the damaged file is beside it", "error", damage)
	}
	if why := book.Unwritable(); why != nil {
		d.cfg.Log.Error("the logbook cannot be written until the next start; what is recorded now goes into it then, if the journal can keep it", "error", why)
	}
	d.book, d.books = book, newBookkeeper(book, d.cfg.Log)
	if o := d.cfg.Notify; len(o.Targets) > 0 {
		o.Dir, o.Log = NotifyDir(d.cfg.Data), d.cfg.Log
		o.Now = func() time.Time { return d.cfg.Clock.Wall().Local() } // people are told the time of their own clocks
		o.Passed = d.cfg.Clock.Boot
		d.notes = notify.Open(o)
	}
	for _, t := range d.cfg.Push {
		s, err := t.Open(push.Host{Dir: pushDir(d.cfg.Data), Log: d.cfg.Log})
		if err != nil {
			return err
		}
		d.sinks, d.outlets = append(d.sinks, s), append(d.outlets, s)
	}
	d.forsaken()
	for _, o := range d.cfg.Brokers {
		if err := d.openBroker(o); err != nil {
			return err
		}
	}
	for _, set := range d.cfg.Channels {
		c := d.newChannel(ctx, set)
		switch err := d.openChannel(ctx, c); {
		case err == nil:
			d.channels = append(d.channels, c)
		case ctx.Err() != nil:
			return err
		default:
			d.leaveOut(c, err)
		}
	}
	if len(d.channels) == 0 {
		return d.leftOut
	}
	return nil
}

// openBroker begins to tell a broker of every channel, once there is one.
func (d *Daemon) openBroker(o mqtt.Options) error {
	o.Hub, o.Dir, o.Log, o.Wall = d.hub, pushDir(d.cfg.Data), d.cfg.Log, d.cfg.Clock.Wall
	for _, set := range d.cfg.Channels {
		o.Channels = append(o.Channels, set.Name)
	}
	t, err := mqtt.Open(o)
	if err != nil {
		return err
	}
	d.outlets = append(d.outlets, t)
	return nil
}

func (d *Daemon) newChannel(ctx context.Context, set Settings) *channel {
	label, err := labelOf(ctx, d.book, set.Options.Battery)
	if err != nil {
		d.cfg.Log.Warn("cannot look the battery up in the logbook", "battery", set.Options.Battery, "error", err)
		label.Asked = false
	}
	return &channel{
		set: set, label: label, data: d.cfg.Data, boot: d.cfg.Journal.BootID, clock: d.cfg.Clock, log: d.cfg.Log,
		books: d.books, storeEvery: storing(d.cfg.Journal.SyncEvery), board: d.hub, notes: d.notes, sinks: d.sinks, outlets: d.outlets, tasks: &d.tasks, until: d.until,
		status: status{two: set.Current != nil}, tells: sourceLog{log: d.cfg.Log.With("channel", set.Name)},
	}
}

// openChannel opens a channel's journal and replays what is unfinished in it.
func (d *Daemon) openChannel(ctx context.Context, c *channel) error {
	name := c.set.Name
	c.recallLimits()
	began := d.cfg.Clock.Boot()
	at, err := readPlace(c.placeFile())
	if err != nil {
		c.log.Error("it is not known any more where in the journal this channel stands, and all of it is told again", "channel", name, "error", err)
	}
	atLeast := at.From
	for _, after := range c.unsent() {
		atLeast = max(atLeast, after+1) // or a line would be taken for one that was pushed
	}
	if c.record, err = d.journal.Channel(name, atLeast); err != nil {
		return err
	}
	if c.set.Follow != nil {
		if err := c.follow(); err != nil {
			return err
		}
	}
	if err := c.recall(ctx); err != nil {
		return err
	}
	if n := c.story.lines; n > 0 {
		d.cfg.Log.Info("replayed the journal", "channel", name, "lines", n, "took", d.cfg.Clock.Boot()-began)
	}
	if warning := c.set.warning(); warning != "" {
		d.cfg.Log.Warn(warning, "channel", name)
	}
	c.recovered()
	c.publish()
	return nil
}

// channel is the one of a name, nil where there is none.
func (d *Daemon) channel(name string) *channel {
	for _, c := range d.channels {
		if c.set.Name == name {
			return c
		}
	}
	return nil
}

// Hub holds the live views.
func (d *Daemon) Hub() *live.Hub { return d.hub }

// Book is the logbook.
func (d *Daemon) Book() *logbook.Book { return d.book }

// Told is how the telling goes; nothing where nobody is told.
func (d *Daemon) Told() notify.Status {
	if d.notes == nil {
		return notify.Status{}
	}
	return d.notes.Status()
}

// Pushed is how the pushing goes, target by target.
func (d *Daemon) Pushed() []push.Status {
	all := make([]push.Status, len(d.outlets))
	for k, o := range d.outlets {
		all[k] = o.Status()
	}
	return all
}

// Degraded says why the daemon does not do all it should; nil if it does.
func (d *Daemon) Degraded() error {
	return cmp.Or(d.leftOut, d.journal.Degraded(), d.book.Unwritable(), d.books.trouble())
}

// Run listens to every channel until the context ends or every source has ended
// for good.
func (d *Daemon) Run(ctx context.Context) error {
	var channels, helpers sync.WaitGroup
	// The helpers outlast the channels: the last thing a channel does is to hand
	// its session over.
	helping, stop := context.WithCancel(context.WithoutCancel(ctx))
	helpers.Go(func() { d.books.run(helping) })
	helpers.Go(func() { d.housekeep(helping) })
	errs := make([]error, len(d.channels))
	for n, c := range d.channels {
		channels.Go(func() { errs[n] = c.run(ctx) })
	}
	channels.Wait()
	stop()
	helpers.Wait()
	return errors.Join(errs...)
}

// Close writes what is left and lets the data folder go.
func (d *Daemon) Close() error {
	ctx, cancel := context.WithTimeout(context.Background(), stopLimit)
	defer cancel()
	err := d.journal.Close(ctx)
	var outside sync.WaitGroup // each may have to wait for somebody
	if d.notes != nil {
		outside.Go(d.notes.Close)
	}
	for _, o := range d.outlets {
		outside.Go(o.Close)
	}
	outside.Wait()
	d.end()
	d.tasks.Wait()
	if d.book != nil {
		err = errors.Join(err, d.book.Close())
	}
	return err
}
