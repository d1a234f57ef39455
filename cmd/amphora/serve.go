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
	"amphora/capture"
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
	read := func(counts func([]config.Problem) int) (*config.Config, error) {
		cfg, err := loadConfig(file, s.err, counts)
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
	untold := 0
	cfg, err := read(func(problems []config.Problem) int {
		untold = config.Errors(problems) - config.Forbidding(problems)
		return config.Forbidding(problems)
	})
	if err != nil {
		return err
	}
	if untold > 0 {
		log.Error("the night is recorded, but some who are to be told of it are not, as long as their files are missing or unsound", "problems", untold)
	}
	// One that takes its place must be sound, for the old one tells everybody.
	return serveAll(ctx, capture.NewInput(s.in), log, hangups, cfg, func() (*config.Config, error) { return read(config.Errors) })
}

// serveAll runs one configuration after the other. One that cannot be begun is no reason to
// leave a night unrecorded: the one before it goes on.
func serveAll(ctx context.Context, in *capture.Input, log *slog.Logger, hangups <-chan os.Signal, cfg *config.Config, read func() (*config.Config, error)) (err error) {
	var old *config.Config
	for cfg != nil && err == nil && ctx.Err() == nil {
		h, refused := begin(ctx, in, cfg, log)
		switch {
		case refused == nil:
			old = cfg
			cfg, err = serveOnce(ctx, in, h, cfg, log, hangups, read)
		case ctx.Err() != nil: // a stop has come while it began
			return nil
		case old == nil:
			return refused
		default:
			log.Error("the new configuration cannot be begun; the old one goes on", "error", withoutMark(refused))
			cfg, old = old, nil
		}
	}
	return err
}

// begin opens the house of a configuration.
func begin(ctx context.Context, in *capture.Input, cfg *config.Config, log *slog.Logger) (*house, error) {
	dc, err := daemonConfig(cfg, in, log)
	if err != nil {
		return nil, err
	}
	return openHouse(ctx, dc, cfg.Listen, cfg.Access, log)
}

// serveOnce runs one configuration until the context ends, every source has ended,
// or another is asked for and is sound: next is that one, as it was found sound. The
// file may have been written again since.
func serveOnce(ctx context.Context, in *capture.Input, h *house, cfg *config.Config, log *slog.Logger, hangups <-chan os.Signal, read func() (*config.Config, error)) (next *config.Config, err error) {
	running, stop := context.WithCancel(ctx)
	asked := make(chan *config.Config, 1)
	go func() { asked <- another(running, stop, in, h, log, hangups, read) }()
	debug.FreeOSMemory() // what the replay took, a quiet night does not need
	go watchdog(running)
	log.Info("recording", "channels", len(cfg.Channels), "data", h.data, "page", h.address())
	tellUnknown(ctx, cfg, h.daemon.Book(), log)
	notifySystemd(log, systemd.SdNotifyReady)
	err = h.run(running)
	notifySystemd(log, systemd.SdNotifyStopping)
	if closed := h.close(); err == nil {
		err = closed
	}
	stop()
	if next = <-asked; next == nil {
		return nil, err
	}
	if err != nil {
		log.Error("the old configuration did not end well", "error", err)
	}
	log.Info("reading the configuration anew")
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
