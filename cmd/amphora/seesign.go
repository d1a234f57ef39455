package main

import (
	"bytes"
	"io"

	"amphora/capture"
	"amphora/decoders"
)

// fit finds out how the log is laid out. Which way the meter counts may show only when current
// begins to flow, behind the lines that a decoder is fitted on: then it reads on.
func (l *logText) fit(o logOptions) (*pipeline, *decoders.Fitted, error) {
	p, f, err := fitPipeline(l.first, o)
	if err != nil || f.Told || !o.auto() {
		return p, f, err
	}
	told, err := l.seeSign(f)
	if err != nil || !told {
		return p, f, err
	}
	p, err = newPipeline(f.Layout, o.analyze)
	return p, f, err
}

// seeSign reads block after block until one tells which way the current counts, to the
// last that may be read before the log is judged. All of them are still to be read then.
func (l *logText) seeSign(f *decoders.Fitted) (bool, error) {
	s, err := decoders.NewStream(f.Layout)
	if err != nil {
		return false, nil // it is told of where the log is read
	}
	var more []io.Reader
	in := l.rest
	defer func() { l.rest = io.MultiReader(append(more, in)...) }()
	var rows decoders.Rows
	var split capture.Splitter
	line := func(text []byte, _ capture.Flags) {
		if now, err := s.Line(text, unstamped, 0); err == nil {
			rows.Add(now.Volts, now.Amps)
		}
	}
	block, seen := l.first, len(l.first)
	for {
		split.Feed(block, line)
		ended := len(block) == 0 || len(block)%blockSize != 0
		if ended {
			split.Flush(line)
		}
		last := ended || seen >= fitBlocks*blockSize
		if (last || rows.MayTell()) && f.SeeSign(&rows) {
			return true, nil
		}
		if last {
			return false, nil
		}
		if block, err = firstOf(in); err != nil {
			return false, err
		}
		more, seen = append(more, bytes.NewReader(block)), seen+len(block)
	}
}
