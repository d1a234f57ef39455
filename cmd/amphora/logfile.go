package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/curve"
	"amphora/dashboards/report"
	"amphora/decoders"
)

const (
	blockSize  = 256 << 10 // bytes read at a time; also what a decoder is fitted on
	fitLines   = 4000
	fitBlocks  = 16 // read at most, where the first ones hold hardly a row
	fitFew     = 200
	stdinNamed = "-"
)

// logOptions say how a log is to be read.
type logOptions struct {
	decoder  string // "" or auto, or a setting
	interval float64
	evidence bool // wanted for how it is laid out
	strict   bool // nobody said that it is a log
	analyze  analyze.Options
	curve    bool
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
	p, fitted, err := fitPipeline(log.first, o)
	if err != nil {
		return analyze.Document{}, nil, fmt.Errorf("%s: %w", name, err)
	}
	if o.curve {
		p.curve = new(curve.Curve)
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
	d.Log.Setting = fitted.Setting
	return d, p.curve, nil
}

// logText is a log as UTF-8: its first block, and a way to what follows.
type logText struct {
	first []byte // of blockSize, less if the log is shorter, more where it begins with much noise
	rest  io.Reader
	file  io.Closer // nil for standard input, which is not ours to close
}

func openLog(name string, in io.Reader) (*logText, error) {
	l := &logText{}
	if name != stdinNamed {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		in, l.file = f, f
	}
	if err := l.begin(in); err != nil {
		l.Close()
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	return l, nil
}

// begin reads the first block, which tells the encoding.
func (l *logText) begin(in io.Reader) error {
	raw, err := firstOf(in)
	if err != nil {
		return err
	}
	l.first, l.rest = raw, in
	if e := decoders.Text(raw); e != decoders.UTF8 {
		l.rest = e.Reader(io.MultiReader(bytes.NewReader(raw), in))
		if l.first, err = firstOf(l.rest); err != nil {
			return err
		}
	}
	return l.beyondNoise()
}

// beyondNoise reads on where banners and menus fill the first block.
func (l *logText) beyondNoise() error {
	for n := 1; n < fitBlocks && len(l.first) == n*blockSize && isText(l.first) && rows(l.first) < fitFew; n++ {
		more, err := firstOf(l.rest)
		if err != nil {
			return err
		}
		l.first = append(l.first, more...)
	}
	return nil
}

// rows counts the lines that may be readings, up to a few.
func rows(block []byte) (n int) {
	for _, line := range firstLines(block) {
		if decoders.MayBeRow(line) {
			n++
		}
	}
	return n
}

// firstOf reads a block, or what there is.
func firstOf(in io.Reader) ([]byte, error) {
	block := make([]byte, blockSize)
	n, err := io.ReadFull(in, block)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = nil
	}
	return block[:n], err
}

func (l *logText) Close() error {
	if l.file == nil {
		return nil
	}
	return l.file.Close()
}

// fitPipeline finds out how a log is laid out from its first block, or takes
// what was set.
func fitPipeline(block []byte, o logOptions) (*pipeline, *decoders.Fitted, error) {
	var f *decoders.Fitted
	if o.decoder == "" || o.decoder == "auto" {
		if !isText(block) {
			return nil, nil, &decoders.Unfit{Found: "they are no text", Need: "give a log of text"}
		}
		var err error
		if f, err = decoders.Fit(firstLines(block), decoders.Options{Interval: o.interval, Brief: !o.evidence}); err != nil {
			return nil, nil, err
		}
		if o.strict && !convincing(f) {
			return nil, nil, &decoders.Unfit{Found: "they may well be no readings", Need: "name the file itself to have them taken for readings"}
		}
	} else {
		l, err := decoders.Parse(o.decoder)
		if err != nil {
			return nil, nil, usagef("--decoder: %w", err)
		}
		if !l.Timed() && l.Interval == 0 {
			if l.Interval = o.interval; l.Interval == 0 {
				l.Interval, _ = decoders.StatedInterval(firstLines(block))
			}
			if l.Interval == 0 {
				return nil, nil, &decoders.Unfit{Found: "the decoder reads no time from them", Need: "state the time between rows with --interval, for instance --interval 10s"}
			}
		}
		f = &decoders.Fitted{Layout: l, Setting: l.String(), Columns: l.String()}
	}
	p, err := newPipeline(f.Layout, o.analyze)
	return p, f, err
}

// convincing tells a log from prose and other documents, which have tables too, where
// nobody says what it is: a few readings must be clear ones, or all lines be some.
func convincing(f *decoders.Fitted) bool {
	return f.Share > 0.9 || f.Share > 0.1 && f.Confidence > 0.5
}

// isText tells text, also with noise and with the marks that some meters frame
// their lines by, from a picture or a program.
func isText(block []byte) bool {
	const frame = "\x02\x03\x04\t\n\v\f\r\x1b"
	odd := 0
	for _, c := range block {
		if c < ' ' && strings.IndexByte(frame, c) < 0 {
			odd++
		}
	}
	return odd*30 <= len(block)
}

// firstLines are the whole lines of a block, or all up to some thousand that may be
// readings.
func firstLines(block []byte) [][]byte {
	var s capture.Splitter
	var lines [][]byte
	rows := 0
	keep := func(line []byte, f capture.Flags) {
		if rows == fitLines {
			return
		}
		if decoders.MayBeRow(line) {
			rows++
		}
		if f != 0 {
			line = bytes.Clone(line) // it lies in the splitter, not in the block
		}
		lines = append(lines, line)
	}
	s.Feed(block, keep)
	if len(block)%blockSize != 0 {
		s.Flush(keep)
	}
	return lines
}
