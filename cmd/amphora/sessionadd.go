package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/curve"

	"github.com/spf13/cobra"
)

func sessionAdd(s streams, d *dataFlag) *cobra.Command {
	a := adder{streams: s, data: d}
	c := &cobra.Command{
		Use:   "add FILE|FOLDER...",
		Short: "Put the charges of other logs into the logbook",
		Long: "Judges logs that were not recorded here, and puts their charges under a battery of the logbook, as if they had been:\n" +
			"they count for its resistance, its capacity and its next forecast. Of each a curve is kept, but not the rows, so keep\n" +
			"the log. A charge that the logbook has already is left out, and so is one that still went on when its log ended. Where the\n" +
			"wrong battery was named, add the log again under the right one: its charges move there. `amphora session remove` takes one\n" +
			"out again.",
		Example: "  amphora session add --battery mower 2024/\n  amphora session add --battery mower --started 2024-03-14T21:40 night.csv",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) (err error) {
			if a.battery == "" {
				return usagef("whose charges are they? Name a battery with --battery")
			}
			if a.options, err = a.analyzeFlags.options(); err != nil {
				return err
			}
			return d.readBook(c.Context(), func(book *logbook.Book) error { return a.run(c.Context(), book, args) })
		},
	}
	f := c.Flags()
	a.batteryFlags.register(f)
	f.StringVar(&a.decoder, "decoder", "auto", "how the lines are laid out")
	f.StringVar(&a.interval, "interval", "", "time between rows where the log has no time, like 10s (a bare number is seconds)")
	f.Func("started", "`time` of the first row of a log that knows no date, like 2026-03-14T21:40", func(text string) (err error) {
		a.started, err = parseWhen(text)
		return err
	})
	jsonFlag(c, &a.json)
	return c
}

// addedBins show the curve of each charge also where a log has many.
const addedBins = 1 << 15

// adder puts the charges of logs into the logbook.
type adder struct {
	streams
	analyzeFlags
	data    *dataFlag
	started time.Time // of the first row; zero where the log tells it

	options logOptions
	dir     string
	added   []analyze.Session
	tally   tally
}

func (a *adder) run(ctx context.Context, book *logbook.Book, args []string) error {
	if _, err := book.Battery(ctx, a.battery); err != nil {
		return err
	}
	var err error
	if a.dir, err = a.data.folder(); err != nil {
		return err
	}
	a.options.curve = addedBins
	if a.options.analyze, err = daemon.Knowing(ctx, book, a.options.analyze); err != nil {
		return err
	}
	logs := logsNamed(args, func(err error) { a.tally.miss(a.err, err) })
	if len(logs) > 1 && !a.started.IsZero() {
		return usagef("--started is when one log began; these are %d", len(logs))
	}
	for r := range inOrder(ctx, logs, func(l logName) *judged { return judge(l, a.in, a.options) }) {
		if r.err == nil {
			r.err = a.take(ctx, book, r)
		}
		if r.err != nil {
			if len(args) == 1 && !r.name.found {
				return r.err
			}
			a.tally.fail(a.err, r)
			continue
		}
		a.tally.tell(&r.document)
	}
	if ctx.Err() != nil {
		return errors.New("stopped before the end; what was told of is in the logbook")
	}
	if a.json {
		if err := writeJSON(a.out, orNone(a.added)); err != nil {
			return err
		}
	}
	return a.tally.verdict(args, "")
}

// take adds the charges of one log, and says of each what came of it.
func (a *adder) take(ctx context.Context, book *logbook.Book, r *judged) error {
	all := r.document.Sessions
	dateFrom(all, a.started)
	points := r.curve.Points(addedBins)
	for k := range all {
		s := &all[k]
		if s.Outcome == analyze.NoCharge {
			continue
		}
		if s.Started == nil {
			return fmt.Errorf("%s tells no date: say when its first row was with --started 2024-03-14T21:40", r.name.path)
		}
		s.Started = new(s.Started.UTC())
		s.ID = analyze.SessionID(s.Channel, *s.Started)
		words, err := a.add(ctx, book, s, ofSession(points, all, k))
		if err != nil {
			return err
		}
		if !a.json {
			fmt.Fprintf(a.out, "%s, %s: %s\n", filepath.Base(r.name.path), dated(*s.Started, now()), words)
		}
	}
	return nil
}

// add puts one charge into the logbook, unless it is there, and says what came of it.
func (a *adder) add(ctx context.Context, book *logbook.Book, s *analyze.Session, points []curve.Point) (words string, err error) {
	if s.Outcome == analyze.Running {
		return "left out, as the log ends while it goes on", nil
	}
	there, err := sameTime(ctx, book, s)
	if err != nil {
		return "", err
	}
	if there != "" {
		return "left out, as the logbook has it as " + there, nil
	}
	how, kept := "added", logbook.Session{Summary: *s, Settled: true}
	switch of, err := book.Session(ctx, s.ID); {
	case err == nil && of.Summary.Battery != s.Battery:
		how = fmt.Sprintf("moved here from %s", cmp.Or(of.Summary.Battery, "no battery"))
	case err != nil && !errors.Is(err, logbook.ErrNotFound):
		return "", err
	}
	if err := book.PutSession(ctx, kept); err != nil {
		return "", err
	}
	a.added = append(a.added, *s)
	file, err := daemon.KeepShape(a.dir, &kept, points)
	if err == nil {
		err = errors.Join(handOver(filepath.Dir(file)), handOver(file))
	}
	if err != nil {
		return "", fmt.Errorf("%s is in the logbook, but without its curve: %w", s.ID, err)
	}
	return fmt.Sprintf("%.4g Ah, %s as %s", float64(s.ChargeInAh), how, s.ID), nil
}

// longestCharge is how far back one may have begun that is not over yet.
const longestCharge = 31 * 24 * time.Hour

// sameTime names a charge of the same battery that the logbook has of the same time.
func sameTime(ctx context.Context, book *logbook.Book, s *analyze.Session) (id string, err error) {
	end := func(s *analyze.Session) time.Time {
		return s.Started.Add(time.Duration(float64(s.EndS-s.StartS) * float64(time.Second)))
	}
	f := logbook.Filter{Battery: string(s.Battery), Since: s.Started.Add(-longestCharge), Until: end(s), Limit: logbook.LongestPage}
	for {
		page, err := book.Sessions(ctx, f)
		if err != nil || len(page) == 0 {
			return "", err
		}
		for k := range page {
			if other := &page[k].Summary; other.Started != nil && other.Outcome != analyze.NoCharge && end(other).After(*s.Started) {
				return other.ID, nil
			}
		}
		f.Before = page[len(page)-1].Cursor()
	}
}

// ofSession are the points of one charge of a log and of the rest after it.
func ofSession(points []curve.Point, all []analyze.Session, k int) (own []curve.Point) {
	from, until := all[k].StartS, analyze.Number(analyze.Unknown())
	if len(all[k].Stages) > 0 {
		from = all[k].Stages[0].StartS
	}
	if k+1 < len(all) {
		until = all[k+1].StartS
	}
	for _, p := range points {
		if at := analyze.Number(p.At); at >= from && !(at > until) {
			own = append(own, p)
		}
	}
	return own
}
