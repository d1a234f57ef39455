package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"amphora/analyze"
	"amphora/analyze/quantity"
	"amphora/dashboards/curve"
	"amphora/dashboards/report"
	"amphora/decoders"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func analyzeCommand(s streams) *cobra.Command {
	var a analyzeFlags
	c := &cobra.Command{
		Use:   "analyze FILE|FOLDER...",
		Short: "Say what happened in a charge log",
		Long: "Decodes a log of volts and amperes over time, finds the charges in it and their stages, and says\n" +
			"what went in, how sure that is, whether it finished, and anything odd. FILE - is standard input.\n\n" +
			"Of a FOLDER all files are read that turn out to be logs, also those of folders in it, but nothing hidden;\n" +
			"the others are named. Logs may be packed by gzip, bzip2 or zstd. A log that cannot be read does not keep the rest from being told of.",
		Example: "  amphora analyze night.csv\n  amphora analyze --capacity 60Ah --chemistry lead-flooded --plot night.svg night.csv\n" +
			"  amphora analyze --json night.csv\n  amphora analyze logs/",
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return a.run(c.Context(), s, args) },
	}
	a.register(c.Flags())
	return c
}

// plotBins are more than a picture has columns.
const plotBins = 4096

type analyzeFlags struct {
	batteryFlags
	decoder  string
	interval string
	json     bool
	plot     string
	failOn   string
}

func (a *analyzeFlags) register(f *pflag.FlagSet) {
	a.batteryFlags.register(f)
	f.StringVar(&a.decoder, "decoder", "auto", "how the lines are laid out: auto, or a setting as amphora shows it, or pattern with a regular expression with named groups")
	f.StringVar(&a.interval, "interval", "", "time between rows where the log has no time, like 10s (a bare number is seconds)")
	f.BoolVar(&a.json, "json", false, "print the summary as JSON")
	f.StringVar(&a.plot, "plot", "", "draw the curve to this .svg or .png file")
	f.StringVar(&a.failOn, "fail-on", "", "exit with status 4 when there is a finding of this severity or worse: warning or alarm")
}

func (a *analyzeFlags) run(ctx context.Context, s streams, args []string) error {
	o, err := a.options()
	if err != nil {
		return err
	}
	if err := plottable(a.plot, args); err != nil {
		return err
	}
	o.analyze = a.remembered(ctx, s, &dataFlag{}, o.analyze)
	var t tally
	logs := logsNamed(args, func(err error) { t.miss(s.err, err) })
	defer gather(garbageFrom(len(logs)))()
	for r := range inOrder(ctx, logs, func(l logName) *judged { return judge(l, s.in, o) }) {
		if r.err != nil {
			if len(args) == 1 && !r.name.found || errors.Is(r.err, errUsage) {
				return r.err
			}
			t.fail(s.err, r)
			continue
		}
		if err := a.tell(s.out, r, t.told > 0); err != nil {
			return err
		}
		t.tell(&r.document)
	}
	if ctx.Err() != nil {
		return errors.New("stopped before the end")
	}
	return t.verdict(args, a.failOn)
}

// judged is what came of a log.
type judged struct {
	name     logName
	document analyze.Document
	curve    *curve.Curve
	err      error
}

func judge(l logName, in io.Reader, o logOptions) *judged {
	o.analyze.Channel, o.strict = channelOf(l.path), l.found
	r := &judged{name: l}
	r.document, r.curve, r.err = readLog(l.path, in, o)
	return r
}

// tell prints a log's result, another one being above it or not.
func (a *analyzeFlags) tell(w io.Writer, r *judged, another bool) error {
	if a.plot != "" {
		if err := drawTo(a.plot, r.name.path, r.curve, r.document.Sessions); err != nil {
			return err
		}
	}
	if a.json {
		return writeDocument(w, &r.document)
	}
	if another {
		fmt.Fprintln(w)
	}
	return report.Text(w, r.document)
}

func (a *analyzeFlags) options() (logOptions, error) {
	o := logOptions{decoder: a.decoder}
	if a.plot != "" {
		o.curve = plotBins
	}
	var err error
	if o.analyze, err = a.batteryFlags.options(); err != nil {
		return o, err
	}
	if a.interval != "" {
		if o.interval, err = positive(quantity.Time, "--interval", a.interval, "s"); err != nil {
			return o, err
		}
	}
	if !o.auto() {
		if _, err := decoders.Parse(a.decoder); err != nil {
			return o, usagef("--decoder: %w", err)
		}
	}
	switch a.failOn {
	case "", string(analyze.Warning), string(analyze.Alarm):
	default:
		return o, usagef("--fail-on %q: want warning or alarm", a.failOn)
	}
	return o, nil
}
