package main

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"amphora/capture"
	"amphora/capture/journal"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
	"amphora/dashboards/push"
)

// local watches a source with a daemon of its own, so that what is seen is what
// would be recorded.
type local struct {
	daemon *daemon.Daemon
	name   string
	trace  *trace
	remove string // a folder that goes with the watching; empty: none
}

func (w *watch) openLocal(ctx context.Context, s streams, spec string) (watched, error) {
	o, err := w.batteryFlags.options()
	if err != nil {
		return nil, err
	}
	source, follow, err := w.source(s, spec)
	if err != nil {
		return nil, err
	}
	l := &local{name: "watch", trace: new(trace)}
	o.Channel = l.name
	data := w.data
	if data == "" {
		o = w.remembered(ctx, s, &dataFlag{}, o) // another folder has a logbook of its own, which is asked
		if data, err = os.MkdirTemp("", "amphora-watch-"); err != nil {
			return nil, err
		}
		l.remove = data
	}
	l.daemon, err = daemon.Open(ctx, daemon.Config{
		Data: data, Clock: capture.SystemClock{}, Log: slog.New(slog.DiscardHandler), Journal: journal.Options{},
		Push: []push.Target{l.trace},
		Channels: []daemon.Settings{{
			Name: l.name, Source: source, Follow: follow, Decoder: w.decoder, Options: o,
		}},
	})
	if err != nil {
		return nil, errors.Join(err, l.tidy())
	}
	return l, nil
}

// source is what to listen to. A file is followed on a screen; without one its end
// is the end.
func (w *watch) source(s streams, spec string) (capture.Source, *capture.File, error) {
	if spec == stdinNamed {
		return capture.Stdin(io.NopCloser(s.in)), nil, nil
	}
	info, err := os.Stat(strings.TrimPrefix(spec, "file:"))
	if err == nil && info.Mode().IsRegular() {
		path, err := filepath.Abs(strings.TrimPrefix(spec, "file:"))
		if err != nil {
			return capture.Source{}, nil, err
		}
		if !w.plain {
			file := &capture.File{Path: path}
			source, err := file.Source()
			return source, file, err
		}
		in, err := os.Open(path)
		if err != nil {
			return capture.Source{}, nil, err
		}
		source := capture.Stdin(in)
		source.Name = "file:" + path
		return source, nil, nil
	}
	source, err := capture.Parse(spec)
	if err != nil {
		return capture.Source{}, nil, usagef("%w", err)
	}
	source.Strict = true // a wrong name is told at once
	return source, nil, nil
}

func (l *local) run(ctx context.Context) error { return l.daemon.Run(ctx) }

func (l *local) now() (live.Channel, bool) { return l.daemon.Hub().Get(l.name) }

func (l *local) points(n int) []curve.Point { return l.trace.points(n) }

func (l *local) remark() string {
	if err := l.daemon.Degraded(); err != nil {
		return err.Error()
	}
	return ""
}

func (l *local) close() error { return errors.Join(l.daemon.Close(), l.tidy()) }

func (l *local) tidy() error {
	if l.remove == "" {
		return nil
	}
	return os.RemoveAll(l.remove)
}

// trace keeps the curve of what is watched: everything is handed to it as to a place
// that readings are pushed to.
type trace struct {
	mu    sync.Mutex
	curve curve.Curve
	first time.Time
	seq   uint64 // of the latest record
}

// Folder is none: nothing of it waits.
func (t *trace) Folder() string { return "" }

// Open makes it its own sink.
func (t *trace) Open(push.Host) (push.Sink, error) { return t, nil }

// Name is never shown.
func (t *trace) Name() string { return "screen" }

// After asks for everything again: a curve is not kept.
func (t *trace) After(string) uint64 { return 0 }

// Take adds the readings, or begins anew with those that are told once more, since their
// decoder was wrong.
func (t *trace) Take(r push.Record) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if r.Seq <= t.seq {
		t.curve, t.first = curve.Curve{}, time.Time{}
	}
	t.seq = r.Seq
	for _, s := range r.Samples {
		if t.first.IsZero() {
			t.first = s.At
		}
		t.curve.Add(s.At.Sub(t.first).Seconds(), s.Volts, s.Amps, s.Celsius)
	}
}

// Sync has nothing to wait for.
func (t *trace) Sync(context.Context) error { return nil }

// Status is that of a place that never fails.
func (t *trace) Status() push.Status { return push.Status{Name: t.Name()} }

// Close has nothing to keep.
func (t *trace) Close() {}

func (t *trace) points(n int) []curve.Point {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.curve.Points(n)
}
