package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/report"

	"github.com/spf13/cobra"
)

func reportCommand(s streams) *cobra.Command {
	var r reportFlags
	c := &cobra.Command{
		Use:   "report SESSION|BATTERY|FILE",
		Short: "Make a page to keep or to hand on, or export the rows",
		Long: "Makes one HTML file that needs no network: the curve with its stages, what was found and on what evidence,\n" +
			"how sure each number is and how it was computed. It is about a recorded charge (by its ID), a battery of the\n" +
			"logbook with its trends, or a log that somebody else recorded; a file wins over a name. With --csv or\n" +
			"--line-protocol the rows and charges are exported instead. FILE - is standard input.",
		Example: "  amphora report night.csv --capacity 60Ah\n  amphora report mower --out mower.html\n  amphora report night.csv --csv --out -",
		Args:    cobra.ExactArgs(1),
		RunE:    func(c *cobra.Command, args []string) error { return r.run(c.Context(), s, args[0]) },
	}
	r.data.register(c)
	r.analyzeFlags.batteryFlags.register(c.Flags())
	f := c.Flags()
	f.StringVar(&r.decoder, "decoder", "auto", "of a FILE: how the lines are laid out")
	f.StringVar(&r.interval, "interval", "", "of a FILE: time between rows where the log has no time, like 10s (a bare number is seconds)")
	f.StringVar(&r.out, "out", "", "write to this `file`, - for standard output (default: a name of its own in the current folder)")
	f.BoolVar(&r.csv, "csv", false, "export as CSV: every row, or of a battery every charge")
	f.BoolVar(&r.lines, "line-protocol", false, "export as line protocol, times in nanoseconds")
	f.Func("started", "`time` of the first row of a FILE that knows no date, like 2026-03-14T21:40", func(text string) (err error) {
		r.started, err = parseWhen(text)
		return err
	})
	return c
}

type reportFlags struct {
	analyzeFlags
	data    dataFlag
	out     string
	csv     bool
	lines   bool
	started time.Time
}

// made is a report ready to be written.
type made struct {
	name  string // of the file, without the ending
	input string // a file that must not be written over, or nothing
	page  func(io.Writer) error
	csv   func(io.Writer) error
	lines func(io.Writer) error
}

func (r *reportFlags) run(ctx context.Context, s streams, about string) error {
	if r.csv && r.lines {
		return usagef("--csv and --line-protocol are two exports: choose one")
	}
	m, err := r.make(ctx, s, about)
	if err != nil {
		return err
	}
	write, ending := m.page, ".html"
	switch {
	case r.csv:
		write, ending = m.csv, "-export.csv"
	case r.lines:
		write, ending = m.lines, ".lp"
	}
	out := r.out
	if out == stdinNamed {
		return write(s.out)
	}
	if out == "" {
		out = fileName(m.name) + ending
	}
	if err := writeWhole(out, m.input, write); err != nil {
		return err
	}
	_, err = fmt.Fprintln(s.out, out)
	return err
}

// make gathers what the report is about.
func (r *reportFlags) make(ctx context.Context, s streams, about string) (m made, err error) {
	if isLog(about) {
		return r.ofLog(ctx, s, about)
	}
	err = r.data.readBook(ctx, func(book *logbook.Book) error {
		session, err := book.Session(ctx, about)
		if err == nil {
			m, err = r.ofSession(ctx, s, book, session)
			return err
		}
		if !errors.Is(err, logbook.ErrNotFound) {
			return err
		}
		battery, err := book.Battery(ctx, about)
		if err == nil {
			m, err = ofBattery(ctx, book, battery)
		}
		return err
	})
	if errors.Is(err, errNoBook) || errors.Is(err, logbook.ErrNotFound) || errors.Is(err, os.ErrNotExist) {
		return m, fmt.Errorf("%q is no file here, and no charge or battery in the logbook: %w", about, err)
	}
	return m, err
}

func isLog(about string) bool {
	f, err := os.Stat(about)
	return about == stdinNamed || err == nil && !f.IsDir()
}

func (r *reportFlags) ofLog(ctx context.Context, s streams, file string) (made, error) {
	o, err := r.options()
	if err != nil {
		return made{}, err
	}
	o.analyze = r.remembered(ctx, s, &r.data, o.analyze)
	o.analyze.Channel = channelOf(file)
	o.track = report.NewTrack(r.csv || r.lines)
	d, _, err := readLog(file, s.in, o)
	if err != nil {
		return made{}, err
	}
	dateFrom(d.Sessions, r.started)
	title := filepath.Base(file)
	if file == stdinNamed {
		title = "standard input"
	}
	d.Log.Source = title // where it lies is nobody's business whom the page is handed to
	c := report.Charge{Title: title, Log: &d.Log, Sessions: d.Sessions, Track: o.track}
	m := ofCharge(&c, o.analyze.Channel)
	m.input = file
	return m, nil
}

// dateFrom gives a log without a date the one that was said of its first row, if any was.
func dateFrom(sessions []analyze.Session, first time.Time) {
	for k := range sessions {
		if s := &sessions[k]; s.Started == nil && !first.IsZero() {
			s.Started = new(first.Add(time.Duration(float64(s.StartS) * float64(time.Second))))
		}
	}
}

func (r *reportFlags) ofSession(ctx context.Context, s streams, book *logbook.Book, session logbook.Session) (made, error) {
	dir, err := r.data.folder()
	if err != nil {
		return made{}, err
	}
	settings, err := channelSettings("", s.err)
	if err != nil {
		return made{}, err
	}
	set := settings.of(session.Summary.Channel)
	o := set.options
	o.Battery = string(session.Summary.Battery)
	if o, err = daemon.Knowing(ctx, book, o); err != nil {
		return made{}, err
	}
	if c := session.Summary.Capacity; c != nil && o.Capacity == 0 {
		o.Capacity = 3600 * float64(c.RatedAh)
	}
	c, err := chargeOf(dir, session, r.csv || r.lines, func(each func(*analyze.Machine)) (float64, error) {
		return daemon.Retrace(ctx, dir, session, set.decoder, o, each)
	})
	switch {
	case err != nil && ctx.Err() != nil:
		return made{}, err
	case err != nil && r.csv: // the charge is there: nobody need look for it
		return made{}, fmt.Errorf("the rows of %s cannot be exported: %v", session.Summary.ID, err)
	}
	return ofCharge(&c, session.Summary.ID), nil
}

// chargeOf is the report on a recorded charge of a data folder. Where its lines cannot be
// gone through again it has the curve that was kept beside them, or none and says so; the
// error says it too.
func chargeOf(dir string, session logbook.Session, rows bool, retrace func(each func(*analyze.Machine)) (shift float64, err error)) (report.Charge, error) {
	c := report.Charge{Title: session.Summary.ID, Sessions: []analyze.Session{session.Summary}, Notes: session.Notes}
	track := report.NewTrack(rows)
	shift, err := retrace(track.Take)
	if err != nil {
		if shape := daemon.KeptShape(dir, &session); shape != nil {
			c.Track = report.Coarse(shape)
		} else {
			c.Untraced = err.Error()
		}
		return c, err
	}
	track.Shift(shift)
	c.Track = track
	return c, nil
}

func ofCharge(c *report.Charge, name string) made {
	return made{
		name: name, page: c.HTML,
		csv:   func(w io.Writer) error { return report.Rows(w, c.Track, c.Sessions) },
		lines: func(w io.Writer) error { return report.LineProtocol(w, c.Track, c.Sessions) },
	}
}

func ofBattery(ctx context.Context, book *logbook.Book, b logbook.Battery) (made, error) {
	h, err := report.History(ctx, book, b, 0)
	if err != nil {
		return made{}, err
	}
	all := summaries(h.Sessions)
	return made{
		name: b.Name, page: h.HTML,
		csv:   func(w io.Writer) error { return report.Charges(w, all) },
		lines: func(w io.Writer) error { return report.LineProtocol(w, nil, all) },
	}, nil
}

// fileName makes a file's name of a channel's or a battery's.
func fileName(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`/\:*?"<>|`, r) {
			return '_'
		}
		return r
	}, name)
	return "report-" + strings.Trim(name, " .")
}
