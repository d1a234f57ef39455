package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"strconv"
	"sync/atomic"
	"syscall"
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
	data     string       // its folder
	listen   string       // where the page is to be
	listener net.Listener // nil while it cannot be there
	refused  error        // why not
	server   *web.Server
	log      *slog.Logger
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
	h := &house{daemon: d, data: cfg.Data, listen: listen, log: log}
	if err := h.open(access, &page); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	return h, nil
}

func (h *house) open(access web.Access, page *atomic.Pointer[metrics.Metrics]) error {
	m, err := metrics.New(metrics.Options{Snapshot: h.daemon.Hub().Snapshot, Targets: h.targets, Notices: h.notices, Version: version(), Log: h.log})
	if err != nil {
		return err
	}
	page.Store(m)
	name, _ := os.Hostname() // without a name the page answers to addresses only
	h.server, err = web.New(web.Options{
		Live: h.daemon.Hub(), Book: h.daemon.Book(), Samples: h.daemon.Samples, Shape: h.daemon.Shape, Report: h.report, Assign: h.daemon.Assign,
		Metrics: m.Handler(), Healthy: h.daemon.Degraded, Access: access, Hostname: name, Log: h.log, Setup: setupOf(h.daemon),
	})
	if err != nil {
		return err
	}
	if at, err := net.ResolveTCPAddr("tcp", h.listen); err == nil {
		if err := h.server.MayServe(at); err != nil {
			return err
		}
	}
	h.listener, h.refused = net.Listen("tcp", h.listen)
	if err = h.refused; err != nil && !mayPass(err) {
		return fmt.Errorf("open the page: %w; say another address with listen: or --listen", err)
	}
	return nil
}

// mayPass tells of an address that another program holds, or that the host does not have yet,
// as while it starts. Neither is a reason to leave a night unrecorded.
func mayPass(err error) bool {
	return errors.Is(err, syscall.EADDRINUSE) || errors.Is(err, syscall.EADDRNOTAVAIL)
}

// pageRetry is how long a page waits that could not be opened.
const pageRetry = 10 * time.Second

// serve shows the page, once its address is to be had.
func (h *house) serve(ctx context.Context) (err error) {
	if h.listener != nil {
		return h.server.Serve(ctx, h.listener)
	}
	h.log.Error("the page cannot be opened, and is tried again; what is measured is recorded: say another address with listen: or --listen, or end who is there", "listen", h.listen, "error", h.refused)
	for h.listener == nil {
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(pageRetry):
		}
		if h.listener, err = net.Listen("tcp", h.listen); err != nil && !mayPass(err) {
			return fmt.Errorf("open the page: %w", err)
		}
	}
	h.log.Info("the page is open", "page", h.address())
	return h.server.Serve(ctx, h.listener)
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
	go func() {
		err := h.serve(serving)
		if err != nil { // it is returned when the recording ends, which may be in months
			h.log.Error("the page is gone until the next start; what is measured is recorded", "error", err)
		}
		served <- err
	}()
	err := h.daemon.Run(ctx)
	stop()
	return errors.Join(err, <-served)
}

// close writes what is left.
func (h *house) close() error { return h.daemon.Close() }

// address is where a browser finds the page.
func (h *house) address() string {
	if h.listener == nil {
		return "none yet"
	}
	return h.server.Scheme() + "://" + reachable(h.listener.Addr()) + "/"
}

// reachable is an address as a browser takes it: where all addresses of the host are served,
// the host's name stands for them.
func reachable(a net.Addr) string {
	at, ok := a.(*net.TCPAddr)
	if !ok || !at.IP.IsUnspecified() {
		return a.String()
	}
	name, err := os.Hostname()
	if err != nil {
		name = "localhost"
	}
	return net.JoinHostPort(name, strconv.Itoa(at.Port))
}
