package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"sync/atomic"
	"time"

	"amphora/analyze"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/metrics"
	"amphora/dashboards/web"
)

// house is the whole of a running amphora: the daemon that records, and the page
// and metrics that show it. The command serve opens one on real sources, the demo
// on a made-up one.
type house struct {
	daemon   *daemon.Daemon
	data     string // its folder
	listener net.Listener
	server   *web.Server
}

// openHouse takes the data folder, replays what is unfinished and begins to
// listen for browsers; nothing is recorded yet.
func openHouse(ctx context.Context, cfg daemon.Config, listen string, access web.Access, log *slog.Logger) (*house, error) {
	var page atomic.Pointer[metrics.Metrics]
	cfg.Journal.OnSync = func(channel string, took time.Duration) {
		if m := page.Load(); m != nil {
			m.ObserveSync(channel, took)
		}
	}
	d, err := daemon.Open(ctx, cfg)
	if err != nil {
		return nil, err
	}
	h := &house{daemon: d, data: cfg.Data}
	if err := h.open(listen, access, log, &page); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return h, nil
}

func (h *house) open(listen string, access web.Access, log *slog.Logger, page *atomic.Pointer[metrics.Metrics]) error {
	m, err := metrics.New(metrics.Options{Snapshot: h.daemon.Hub().Snapshot, Targets: h.targets, Notices: h.notices, Version: version(), Log: log})
	if err != nil {
		return err
	}
	page.Store(m)
	name, _ := os.Hostname() // without a name the page answers to addresses only
	h.server, err = web.New(web.Options{
		Live: h.daemon.Hub(), Book: h.daemon.Book(), Samples: h.daemon.Samples, Shape: h.daemon.Shape, Report: h.report, Assign: h.daemon.Assign,
		Metrics: m.Handler(), Healthy: h.daemon.Degraded, Access: access, Hostname: name, Log: log, Setup: setupOf(h.daemon),
	})
	if err != nil {
		return err
	}
	if h.listener, err = net.Listen("tcp", listen); err != nil {
		return fmt.Errorf("open the page: %w; say another address with listen: or --listen, or end who is there", err)
	}
	if err := h.server.MayServe(h.listener.Addr()); err != nil {
		return errors.Join(err, h.listener.Close())
	}
	return nil
}

// notices counts the notifications for the metrics.
func (h *house) notices() (all []metrics.Notice) {
	for _, t := range h.daemon.Told().Targets {
		for result, n := range t.Counts {
			all = append(all, metrics.Notice{Target: t.Name, Result: result, Count: n})
		}
	}
	return all
}

// targets are the places that everything is pushed to, for the metrics.
func (h *house) targets() (all []metrics.Target) {
	for _, s := range h.daemon.Pushed() {
		all = append(all, metrics.Target{Name: s.Name, Pending: s.Pending, Failures: s.Failures, Dropped: s.Dropped, Refused: s.Refused})
	}
	return all
}

// report writes the report on a recorded charge for the page.
func (h *house) report(ctx context.Context, id string, w io.Writer) error {
	session, err := h.daemon.Book().Session(ctx, id)
	if err != nil {
		return err
	}
	c, err := chargeOf(h.data, session, false, func(each func(*analyze.Machine)) (float64, error) {
		return h.daemon.Retrace(ctx, session, each)
	})
	if ctx.Err() != nil {
		return err // else it is a report without a curve
	}
	return c.HTML(w)
}

// run records and serves until the context ends or every source has ended.
func (h *house) run(ctx context.Context) error {
	serving, stop := context.WithCancel(ctx)
	served := make(chan error, 1)
	go func() { served <- h.server.Serve(serving, h.listener) }()
	err := h.daemon.Run(ctx)
	stop()
	return errors.Join(err, <-served)
}

// close writes what is left.
func (h *house) close() error { return h.daemon.Close() }

// address is where a browser finds the page.
func (h *house) address() string { return "http://" + h.listener.Addr().String() + "/" }
