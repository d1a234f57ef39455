package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/report"
	"amphora/decoders"
)

// stdinNamed is the file that means standard input.
const stdinNamed = "-"

// logOptions say how a log is to be read.
type logOptions struct {
	decoder  string // "" or auto, or a setting
	interval float64
	evidence bool // wanted for how it is laid out
	strict   bool // nobody said that it is a log
	analyze  analyze.Options
	curve    int           // wanted, in so many bins of time; 0 for none
	track    *report.Track // takes every row, unless it is nil
}

// readLog decodes and judges a whole log. The document is complete but for what
// only the caller knows.
func readLog(name string, in io.Reader, o logOptions) (analyze.Document, *curve.Curve, error) {
	log, err := openLog(name, in)
	if err != nil {
		return analyze.Document{}, nil, err
	}
	defer log.Close()
	p, fitted, err := log.fit(o)
	if err != nil {
		return analyze.Document{}, nil, fmt.Errorf("%s: %w", name, err)
	}
	if o.curve > 0 {
		p.curve = curve.New(o.curve)
	}
	p.track = o.track
	if err := feed(p, log.first, log.rest); err != nil {
		return analyze.Document{}, nil, fmt.Errorf("reading %s: %w", name, err)
	}
	d := p.machine.Document()
	if d.Log.Used == 0 {
		return d, nil, fmt.Errorf("%s: %w: not one of its %d rows gave a voltage and a current", name, decoders.ErrUndecodable, d.Log.Rows)
	}
	d.Log.Source, d.Log.Decoder, d.Log.Layout = name, fitted.Layout.Kind, fitted.Columns
	d.Log.Setting, d.Log.Doubt = fitted.Setting, fitted.Difference
	return d, p.curve, nil
}

// auto tells that nobody said how the log is laid out.
func (o *logOptions) auto() bool { return o.decoder == "" || o.decoder == "auto" }

// fitPipeline finds out how a log is laid out from its first block, or takes
// what was set.
func fitPipeline(block []byte, o logOptions) (*pipeline, *decoders.Fitted, error) {
	lay := layoutSet
	if o.auto() {
		lay = layoutFound
	}
	f, err := lay(block, o)
	if err != nil {
		return nil, nil, err
	}
	p, err := newPipeline(f.Layout, o.analyze)
	return p, f, err
}

// layoutFound is how the lines of a block show to be laid out.
func layoutFound(block []byte, o logOptions) (*decoders.Fitted, error) {
	switch {
	case len(bytes.TrimSpace(block)) == 0:
		return nil, &decoders.Unfit{Found: "there are none", Need: "see whether it is the right file, and whether anything was written to it yet"}
	case !isText(block):
		return nil, &decoders.Unfit{Found: "they are no text", Need: "give a log of text: of a spreadsheet what it saves as CSV, of an archive what is in it"}
	}
	f, err := fitOn(block, o)
	if err == nil && o.strict && !convincing(f) {
		return nil, &decoders.Unfit{Found: "they may well be no readings", Need: "name the file itself to have them taken for readings"}
	}
	return f, err
}

// layoutSet is how somebody said that they are.
func layoutSet(block []byte, o logOptions) (*decoders.Fitted, error) {
	l, err := decoders.Parse(o.decoder)
	if err != nil {
		return nil, usagef("--decoder: %w", err)
	}
	if !l.Timed() && l.Interval == 0 {
		if l.Interval = o.interval; l.Interval == 0 {
			l.Interval, _ = decoders.StatedInterval(firstLines(block, math.MaxInt, fitLines))
		}
		if l.Interval == 0 {
			return nil, &decoders.Unfit{Found: "the decoder reads no time from them", Need: "state the time between rows with --interval, for instance --interval 10s"}
		}
	}
	return &decoders.Fitted{Layout: l, Setting: l.String(), Columns: l.String()}, nil
}

// fitOn fits a decoder to the lines of a block.
func fitOn(block []byte, o logOptions) (*decoders.Fitted, error) {
	first := func(most int) [][]byte { return firstLines(block, most, fitLines) }
	if o.evidence {
		return decoders.Fit(first(math.MaxInt), decoders.Options{Interval: o.interval})
	}
	return decoders.FitBriefly(first, decoders.Options{Interval: o.interval})
}

// convincing tells a log from prose and other documents, which have tables too, where
// nobody says what it is: a few readings must be clear ones, or all lines be some.
func convincing(f *decoders.Fitted) bool {
	return f.Share > 0.9 || f.Share > 0.1 && f.Confidence > 0.5
}

// channelOf names a bare log's channel after its file.
func channelOf(file string) string {
	if file == stdinNamed {
		return "stdin"
	}
	base := plainName(filepath.Base(file))
	return strings.TrimSuffix(base, filepath.Ext(base))
}
