package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/quantity"
	"amphora/cmd/amphora/daemon"

	"github.com/spf13/pflag"
)

// batteryFlags say what is known of the battery and the meter.
type batteryFlags struct {
	battery   string
	chemistry string
	cells     int
	capacity  string
	tail      string
	meter     string
	meterV    string
	findings  string
}

// inSeries reads how many cells there are, for one who says so: nobody has none.
type inSeries struct{ cells *int }

func (n inSeries) Type() string { return "int" }

func (n inSeries) String() string {
	if n.cells == nil || *n.cells == 0 {
		return ""
	}
	return strconv.Itoa(*n.cells)
}

func (n inSeries) Set(text string) (err error) {
	if *n.cells, err = strconv.Atoi(text); err == nil && *n.cells < 1 {
		return errors.New("want a number of cells in series, like 6 for a 12 V lead-acid battery")
	}
	return err
}

func (b *batteryFlags) register(f *pflag.FlagSet) {
	f.StringVar(&b.battery, "battery", "", "the battery's name; what the logbook knows of it need not be said again")
	f.StringVar(&b.chemistry, "chemistry", "", strings.Join(analyze.ChemistryNames(), ", ")+" (default: inferred from the curve)")
	f.Var(inSeries{&b.cells}, "cells", "cells in series (default: inferred)")
	f.StringVar(&b.capacity, "capacity", "", "rated capacity, like 60Ah (a bare number is ampere-hours)")
	f.StringVar(&b.tail, "tail", "", "current at which the charge is complete: like 0.35A (a bare number is A), or 2% of the capacity (default: 2% for lead-acid, 5% for lithium)")
	f.StringVar(&b.meter, "meter-accuracy", "", `the current meter's stated accuracy, like "0.5% + 3d" (default: `+analyze.DefaultAccuracy.String()+")")
	f.StringVar(&b.meterV, "voltmeter-accuracy", "", "the voltmeter's stated accuracy (default: as above)")
	f.StringVar(&b.findings, "findings", "", "how patient findings are: stalled=2x,no-taper=off stretches the thresholds of the one and never tells the other")
}

func (b *batteryFlags) options() (o analyze.Options, err error) {
	o.Battery, o.Cells = b.battery, b.cells
	if b.chemistry != "" {
		if o.Chemistry, err = analyze.ParseChemistry(b.chemistry); err != nil {
			return o, usagef("--chemistry: %w", err)
		}
	}
	if b.capacity != "" {
		if o.Capacity, err = positive(quantity.Charge, "--capacity", b.capacity, "Ah"); err != nil {
			return o, err
		}
	}
	if b.tail != "" {
		if o.Tail, err = quantity.ParseTail(b.tail); err != nil {
			return o, usagef("--tail: %w", err)
		}
	}
	if o.Current, err = parseAccuracy("--meter-accuracy", b.meter, quantity.Current); err != nil {
		return o, err
	}
	if o.Voltage, err = parseAccuracy("--voltmeter-accuracy", b.meterV, quantity.Voltage); err != nil {
		return o, err
	}
	o.Patience, err = parsePatience(b.findings)
	return o, err
}

// remembered fills in what the logbook knows of the battery and no flag says. Where there
// is no logbook, or none of that name in it, the name is but a name.
func (b *batteryFlags) remembered(ctx context.Context, s streams, d *dataFlag, o analyze.Options) analyze.Options {
	if b.battery == "" {
		return o
	}
	known := o
	err := d.readBook(ctx, func(book *logbook.Book) error {
		data, err := d.folder()
		if err == nil {
			known, err = daemon.Remembering(ctx, book, data, o)
		}
		return err
	})
	if err == nil {
		return known
	}
	if !errors.Is(err, errNoBook) && !errors.Is(err, fs.ErrNotExist) {
		fmt.Fprintf(s.err, "amphora: what the logbook knows of %s is left out: %v\n", b.battery, err)
	}
	return o
}

// positive parses a flag's quantity, in SI units.
func positive(k quantity.Kind, flag, text, bare string) (float64, error) {
	v, err := k.ParsePositive(text, bare)
	if err != nil {
		return 0, usagef("%s: %w", flag, err)
	}
	return v, nil
}

func parsePatience(text string) (p analyze.Patience, err error) {
	if text == "" {
		return nil, nil
	}
	for item := range strings.SplitSeq(text, ",") {
		code, factor, _ := strings.Cut(strings.TrimSpace(item), "=")
		if err := p.Set(code, factor); err != nil {
			return nil, usagef("--findings: %s: %w", code, err)
		}
	}
	return p, nil
}

func parseAccuracy(flag, text string, k quantity.Kind) (analyze.Accuracy, error) {
	if text == "" {
		return analyze.Accuracy{}, nil
	}
	a, err := k.ParseAccuracy(text)
	if err != nil {
		return a, usagef("%s: %w", flag, err)
	}
	return a, nil
}
