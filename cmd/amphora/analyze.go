package main

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/plot"
	"amphora/dashboards/report"

	"github.com/spf13/cobra"
)

func analyzeCommand(s streams) *cobra.Command {
	var a analyzeFlags
	c := &cobra.Command{
		Use:   "analyze FILE...",
		Short: "Say what happened in a charge log",
		Long: "Decodes a log of volts and amperes over time, finds the charges in it and their stages, and says\n" +
			"what went in, how sure that is, whether it finished, and anything odd. FILE - is standard input.",
		Example: "  amphora analyze night.csv\n  amphora analyze --capacity 60Ah --chemistry lead-flooded --plot night.svg night.csv\n" +
			"  amphora analyze --json night.csv",
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return a.run(s, args) },
	}
	a.register(c.Flags())
	return c
}

type analyzeFlags struct {
	batteryFlags
	decoder  string
	interval string
	json     bool
	plot     string
	failOn   string
}

func (a *analyzeFlags) register(f flagSet) {
	a.batteryFlags.register(f)
	f.StringVar(&a.decoder, "decoder", "auto", "how the lines are laid out: auto, or a setting as amphora shows it, or pattern with a regular expression with named groups")
	f.StringVar(&a.interval, "interval", "", "time between rows where the log has no time, like 10s (a bare number is seconds)")
	f.BoolVar(&a.json, "json", false, "print the summary as JSON")
	f.StringVar(&a.plot, "plot", "", "draw the curve to this .svg or .png file")
	f.StringVar(&a.failOn, "fail-on", "", "exit with status 4 when there is a finding of this severity or worse: warning or alarm")
}

func (a *analyzeFlags) run(s streams, files []string) error {
	o, err := a.options()
	if err != nil {
		return err
	}
	if a.plot != "" && len(files) > 1 {
		return usagef("--plot draws one log, but %d were given", len(files))
	}
	if err := plottable(a.plot); err != nil {
		return err
	}
	found := false
	for n, file := range files {
		o.analyze.Channel = channelOf(file)
		d, c, err := readLog(file, s.in, o)
		if err != nil {
			return err
		}
		if a.plot != "" {
			if err := drawTo(a.plot, file, c, d.Sessions); err != nil {
				return err
			}
		}
		if a.json {
			err = writeJSON(s.out, d)
		} else {
			if n > 0 {
				fmt.Fprintln(s.out)
			}
			err = report.Text(s.out, d)
		}
		if err != nil {
			return err
		}
		found = found || worstOf(d) >= rank(analyze.Severity(a.failOn))
	}
	if a.failOn != "" && found {
		return errFound
	}
	return nil
}

func (a *analyzeFlags) options() (logOptions, error) {
	o := logOptions{decoder: a.decoder, curve: a.plot != ""}
	var err error
	if o.analyze, err = a.batteryFlags.options(); err != nil {
		return o, err
	}
	if a.interval != "" {
		if o.interval, err = positive(timeKind, "--interval", a.interval, "s"); err != nil {
			return o, err
		}
	}
	switch a.failOn {
	case "", string(analyze.Warning), string(analyze.Alarm):
	default:
		return o, usagef("--fail-on %q: want warning or alarm", a.failOn)
	}
	return o, nil
}

// channelOf names a bare log's channel after its file.
func channelOf(file string) string {
	if file == stdinNamed {
		return "stdin"
	}
	base := filepath.Base(file)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

func rank(s analyze.Severity) int {
	return map[analyze.Severity]int{analyze.Note: 1, analyze.Warning: 2, analyze.Alarm: 3}[s]
}

func worstOf(d analyze.Document) int {
	worst := 0
	for _, s := range d.Sessions {
		for _, f := range s.Findings {
			worst = max(worst, rank(f.Severity))
		}
	}
	return worst
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

func plottable(file string) error {
	switch strings.ToLower(filepath.Ext(file)) {
	case "", ".svg", ".png":
		if file == "" || filepath.Ext(file) != "" {
			return nil
		}
	}
	return usagef("--plot %q: the name must end in .svg or .png", file)
}

// drawTo writes the plot whole or not at all.
func drawTo(file, title string, c *curve.Curve, sessions []analyze.Session) error {
	format := strings.ToLower(strings.TrimPrefix(filepath.Ext(file), "."))
	err := writeWhole(file, "", func(w io.Writer) error { return plot.Draw(w, format, title, c, sessions) })
	if err != nil {
		return fmt.Errorf("--plot: %w", err)
	}
	return nil
}
