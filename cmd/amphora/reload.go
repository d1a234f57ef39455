package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"

	"amphora/capture"
	"amphora/capture/journal"
	"amphora/cmd/amphora/config"
)

// another waits until a configuration is asked for that can be begun, as far as that can be
// told while this one runs, and then stops what runs. It is nil where that stops for another
// reason.
func another(ctx context.Context, stop func(), in *capture.Input, h *house, log *slog.Logger, hangups <-chan os.Signal, read func() (*config.Config, error)) *config.Config {
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-hangups:
		}
		cfg, err := read()
		if err == nil {
			err = h.rehearse(in, cfg, log)
		}
		if err == nil {
			stop()
			return cfg
		}
		log.Error("the new configuration is not sound; the old one stays", "error", withoutMark(err))
	}
}

// rehearse tries what another configuration needs to begin: its sources, who may see the page and
// where, and its data folder, which somebody else may hold.
func (h *house) rehearse(in *capture.Input, cfg *config.Config, log *slog.Logger) error {
	next, err := daemonConfig(cfg, in, log)
	if err != nil {
		return err
	}
	if err := cfg.Access.Check(); err != nil {
		return err
	}
	if cfg.Listen != h.listen {
		if l, err := net.Listen("tcp", cfg.Listen); err == nil {
			l.Close()
		} else if !mayPass(err) {
			return fmt.Errorf("open the page: %w", err)
		}
	}
	if sameFolder(next.Data, h.data) {
		return nil
	}
	j, err := journal.Open(next.Data, journal.Options{})
	if err != nil {
		return err
	}
	return j.Close(context.Background())
}

// sameFolder reports whether two names are of one folder.
func sameFolder(a, b string) bool {
	of, errA := os.Stat(a)
	with, errB := os.Stat(b)
	return errors.Join(errA, errB) == nil && os.SameFile(of, with)
}
