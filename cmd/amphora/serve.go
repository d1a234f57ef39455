package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/cmd/amphora/config"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/notify"
	"amphora/dashboards/push"
	"amphora/dashboards/web"

	systemd "github.com/coreos/go-systemd/v22/daemon"
	"github.com/spf13/cobra"
)

func serveCommand(s streams) *cobra.Command {
	var file, data, listen string
	c := &cobra.Command{
		Use:   "serve",
		Short: "Record and judge channels day and night, and show them",
		Long: "Listens to the sources of a configuration, writes every line to the journal before anything else,\n" +
			"finds the charges and shows them on a page, as metrics and through an API. SIGHUP reads the\n" +
			"configuration anew, SIGTERM stops cleanly. It only listens: it never controls a charger.",
		Example: "  amphora serve --config amphora.yaml\n  amphora check --example > amphora.yaml",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return serve(c.Context(), s, file, data, listen)
		},
	}
	c.Flags().StringVar(&file, "config", "", "the configuration (default: the first of the usual places that has one)")
	c.Flags().StringVar(&data, "data", "", "folder of journal and logbook (default: as configured)")
	c.Flags().StringVar(&listen, "listen", "", "address of the page (default: as configured, else "+config.DefaultListen+")")
	return c
}

// thrift is how much garbage may gather, in percent of what is in use, before it is
// collected. The daemon makes little of it, and shares small machines with others; where
// logs are analyzed, memory that was never used costs more than to clean up.
const thrift = 40

func serve(ctx context.Context, s streams, file, data, listen string) error {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(thrift)
	}
	log := slog.New(slog.NewTextHandler(s.err, nil))
	hangups := make(chan os.Signal, 1)
	signal.Notify(hangups, syscall.SIGHUP)
	defer signal.Stop(hangups)
	read := func() (*config.Config, error) {
		cfg, err := loadConfig(file, s.err)
		if err != nil {
			return nil, err
		}
		cfg.Data, cfg.Listen = cmp.Or(data, cfg.Data), cmp.Or(listen, cfg.Listen)
		return cfg, nil
	}
	cfg, err := read()
	for cfg != nil && err == nil && ctx.Err() == nil {
		cfg, err = serveOnce(ctx, s, cfg, log, hangups, read)
	}
	return err
}

// loadConfig reads a configuration and shows what is wrong with it.
func loadConfig(file string, out io.Writer) (*config.Config, error) {
	if file == "" {
		found, ok := config.Find()
		if !ok {
			return nil, usagef("no configuration was found in the usual places: name one with --config, or begin with: amphora check --example > amphora.yaml")
		}
		file = found
	}
	cfg, problems := config.Load(file)
	for _, p := range problems {
		fmt.Fprintln(out, p)
	}
	if n := config.Errors(problems); n > 0 || cfg == nil {
		return nil, usagef("%s cannot be used: see above", file)
	}
	return cfg, nil
}

// serveOnce runs one configuration until the context ends, every source has ended,
// or another is asked for and is sound: next is that one, as it was found sound. The
// file may have been written again since.
func serveOnce(ctx context.Context, s streams, cfg *config.Config, log *slog.Logger, hangups <-chan os.Signal, read func() (*config.Config, error)) (next *config.Config, err error) {
	dc, err := daemonConfig(cfg, s.in, log)
	if err != nil {
		return nil, err
	}
	h, err := openHouse(ctx, dc, cfg.Listen, webAccess(cfg.Access), log)
	if err != nil {
		return nil, err
	}
	running, stop := context.WithCancel(ctx)
	asked := make(chan *config.Config, 1)
	go func() { asked <- another(running, stop, log, hangups, read) }()
	debug.FreeOSMemory() // what the replay took, a quiet night does not need
	go watchdog(running)
	log.Info("recording", "channels", len(dc.Channels), "data", dc.Data, "page", h.address())
	notifySystemd(log, systemd.SdNotifyReady)
	err = h.run(running)
	notifySystemd(log, systemd.SdNotifyStopping)
	if closed := h.close(); err == nil {
		err = closed
	}
	stop()
	if next = <-asked; err != nil {
		return nil, err
	}
	if next != nil {
		log.Info("reading the configuration anew")
	}
	return next, nil
}

// another waits until a sound configuration is asked for, and then stops what runs. It
// is nil where that stops for another reason.
func another(ctx context.Context, stop func(), log *slog.Logger, hangups <-chan os.Signal, read func() (*config.Config, error)) *config.Config {
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-hangups:
		}
		cfg, err := read()
		if err == nil {
			stop()
			return cfg
		}
		log.Error("the new configuration is not sound; the old one stays", "error", err)
	}
}

func daemonConfig(cfg *config.Config, in io.Reader, log *slog.Logger) (daemon.Config, error) {
	data, err := config.DataDir(cfg.Data)
	if err != nil {
		return daemon.Config{}, err
	}
	d := daemon.Config{
		Data: data, Clock: capture.SystemClock{}, Log: log,
		Journal: journal.Options{SyncEvery: cfg.Journal.Sync},
		Retain:  journal.Policy{MaxAge: cfg.Journal.Keep, MinFree: cfg.Journal.MinFree},
		Notify:  notify.Options{Targets: notifyTargets(cfg), Rules: cfg.Telling},
		Push:    pushTargets(cfg),
		Brokers: brokers(cfg, data),
	}
	for _, c := range cfg.Channels {
		set := daemon.Settings{Name: c.Name, Decoder: c.Setting(daemon.TwoMeters), Options: c.Options, Silence: c.Limits.Silence}
		set.Options.Limits = analyzeLimits(c.Limits)
		if len(c.Feeds) == 1 {
			set.Follow = c.Feeds[0].Source.File
		}
		for k := range c.Feeds {
			source, err := c.Feeds[k].Source.Capture(io.NopCloser(in))
			if err != nil {
				return d, fmt.Errorf("channel %q: %w", c.Name, err)
			}
			if k == 0 {
				set.Source = source
			} else {
				set.Current = &source
			}
		}
		d.Channels = append(d.Channels, set)
	}
	return d, nil
}

// pushTargets are the places that everything is pushed to.
func pushTargets(cfg *config.Config) []push.Target {
	var targets []push.Target
	for _, p := range cfg.Push {
		if p.Influx != nil {
			targets = append(targets, p.Influx)
		}
	}
	return targets
}

// analyzeLimits are a channel's limits as the analysis takes them.
func analyzeLimits(l config.Limits) analyze.Limits {
	return analyze.Limits{
		Seconds: l.Duration.Seconds(), Charge: l.Charge, ChargeFactor: l.ChargeFactor,
		Hottest: l.Celsius, Volts: l.Volts, Silence: l.Silence.Seconds(),
	}
}

func webAccess(a config.Access) web.Access {
	return web.Access{TokenFile: a.TokenFile, UsersFile: a.UsersFile, TLSCert: a.TLSCert, TLSKey: a.TLSKey, Hosts: a.Hosts}
}

// notifySystemd tells the supervisor, where there is one.
func notifySystemd(log *slog.Logger, state string) {
	if _, err := systemd.SdNotify(false, state); err != nil {
		log.Warn("cannot tell the supervisor", "state", state, "error", err)
	}
}

// watchdog pings a supervisor that asked for it, twice as often as it wants.
func watchdog(ctx context.Context) {
	every, err := systemd.SdWatchdogEnabled(false)
	if err != nil || every == 0 {
		return
	}
	tick := time.NewTicker(every / 2)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			_, _ = systemd.SdNotify(false, systemd.SdNotifyWatchdog) // the next tick tries again
		}
	}
}
