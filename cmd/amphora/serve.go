package main

import (
	"cmp"
	"context"
	"errors"
	"log/slog"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"amphora/analyze/logbook"
	"amphora/cmd/amphora/config"

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
	c.Flags().StringVar(&file, "config", "", "the configuration (default: "+firstUsual+")")
	c.Flags().StringVar(&data, "data", "", "folder of journal and logbook (default: as configured)")
	c.Flags().StringVar(&listen, "listen", "", "address of the page (default: as configured, else "+config.DefaultListen+")")
	return c
}

func serve(ctx context.Context, s streams, file, data, listen string) error {
	gather(thrift)
	log := slog.New(slog.NewTextHandler(s.err, nil))
	hangups := make(chan os.Signal, 1)
	signal.Notify(hangups, syscall.SIGHUP)
	defer signal.Stop(hangups)
	read := func() (*config.Config, error) {
		cfg, err := loadConfig(file, s.err)
		if err != nil {
			return nil, err
		}
		cfg.Data = cmp.Or(data, cfg.Data)
		if listen != "" {
			if err := cfg.ListenAt(listen); err != nil {
				return nil, usagef("--listen: %w", err)
			}
		}
		return cfg, nil
	}
	cfg, err := read()
	for cfg != nil && err == nil && ctx.Err() == nil {
		cfg, err = serveOnce(ctx, s, cfg, log, hangups, read)
	}
	return err
}

// serveOnce runs one configuration until the context ends, every source has ended,
// or another is asked for and is sound: next is that one, as it was found sound. The
// file may have been written again since.
func serveOnce(ctx context.Context, s streams, cfg *config.Config, log *slog.Logger, hangups <-chan os.Signal, read func() (*config.Config, error)) (next *config.Config, err error) {
	dc, err := daemonConfig(cfg, s.in, log)
	if err != nil {
		return nil, err
	}
	h, err := openHouse(ctx, dc, cfg.Listen, cfg.Access, log)
	if err != nil {
		return nil, err
	}
	running, stop := context.WithCancel(ctx)
	asked := make(chan *config.Config, 1)
	go func() { asked <- another(running, stop, log, hangups, read) }()
	debug.FreeOSMemory() // what the replay took, a quiet night does not need
	go watchdog(running)
	log.Info("recording", "channels", len(dc.Channels), "data", dc.Data, "page", h.address())
	tellUnknown(ctx, cfg, h.daemon.Book(), log)
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

// tellUnknown tells of batteries that are not in the logbook: a name may be misspelt, and
// what the label says is missed.
func tellUnknown(ctx context.Context, cfg *config.Config, book *logbook.Book, log *slog.Logger) {
	for _, c := range cfg.Channels {
		name := c.Options.Battery
		if _, err := book.Battery(ctx, name); name != "" && errors.Is(err, logbook.ErrNotFound) {
			log.Info("the battery is not in the logbook; `amphora battery add` puts it there", "channel", c.Name, "battery", name)
		}
	}
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
		log.Error("the new configuration is not sound; the old one stays", "error", withoutMark(err))
	}
}
