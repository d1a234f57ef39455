package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"amphora/analyze/quantity"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func identifyCommand(s streams) *cobra.Command {
	var f identifyFlags
	c := &cobra.Command{
		Use:   "identify FILE|PORT",
		Short: "Say how a log or a port's lines are laid out",
		Long: "Says how the lines of a log, or those that come from a port, are laid out, how sure that is and on what\n" +
			"evidence, and gives the setting to paste. It listens to a port at the usual line rates in turn; nothing is\n" +
			"sent. FILE - is standard input. PORT may also be a source like tcp:HOST:PORT.",
		Example: "  amphora identify night.csv\n  amphora identify /dev/ttyUSB0\n  amphora identify --listen 15s '/dev/ttyUSB0?baud=9600'",
		Args:    cobra.ExactArgs(1),
		RunE:    func(c *cobra.Command, args []string) error { return f.run(c.Context(), s, args[0]) },
	}
	f.register(c.Flags())
	return c
}

type identifyFlags struct {
	interval string
	listen   string
	json     bool
}

func (f *identifyFlags) register(fs *pflag.FlagSet) {
	fs.StringVar(&f.interval, "interval", "", "time between rows where the log has no time, like 10s (a bare number is seconds)")
	fs.StringVar(&f.listen, "listen", "4s", "how long to listen to a port at each line rate; longer where text comes")
	fs.BoolVar(&f.json, "json", false, "print JSON")
}

func (f *identifyFlags) run(ctx context.Context, s streams, source string) error {
	id := identity{Source: source, Tried: []attempt{}}
	var err error
	if isSource(source) {
		err = f.hear(ctx, s, source, &id)
	} else {
		err = f.read(s, source, &id)
	}
	if err != nil {
		return err
	}
	if f.json {
		return writeJSON(s.out, id)
	}
	return id.page(s.out)
}

func (f *identifyFlags) read(s streams, name string, id *identity) error {
	o := logOptions{evidence: true}
	if f.interval != "" {
		var err error
		if o.interval, err = positive(quantity.Time, "--interval", f.interval, "s"); err != nil {
			return err
		}
	}
	log, err := openLog(name, s.in)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%w; for the name of a port see `amphora ports`", err)
	}
	if err != nil {
		return err
	}
	defer log.Close()
	_, fitted, err := log.fit(o)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	id.fill(fitted)
	return nil
}

func (f *identifyFlags) hear(ctx context.Context, s streams, source string, id *identity) error {
	wait, err := positive(quantity.Time, "--listen", f.listen, "s")
	if err != nil {
		return err
	}
	if wait > mostWait.Seconds() {
		return usagef("--listen %s: want a day at most", f.listen)
	}
	fitted, tried, err := hunt(ctx, ratesFor(source), time.Duration(wait*float64(time.Second)), listenTo(source, s.err))
	if err != nil {
		return fmt.Errorf("%s: %w", source, err)
	}
	if last := tried[len(tried)-1].Baud; last > 0 {
		id.Baud = &last
	}
	id.Tried = tried
	id.fill(fitted)
	return nil
}
