package main

import (
	"math"

	"amphora/analyze"
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
// last that may be read before the log is judged.
func (l *logText) seeSign(f *decoders.Fitted) (bool, error) {
	s, err := decoders.NewStream(f.Layout)
	if err != nil {
		return false, nil // it is told of where the log is read
	}
	var samples []analyze.Sample
	seen := 0
	for {
		for _, line := range firstLines(l.first[seen:], math.MaxInt, math.MaxInt) {
			if now, err := s.Line(line, unstamped, 0); err == nil {
				samples = append(samples, now)
			}
		}
		if f.SeeSign(samples) {
			return true, nil
		}
		if seen = len(l.first); seen%blockSize != 0 || seen >= fitBlocks*blockSize {
			return false, nil
		}
		more, err := firstOf(l.rest)
		if err != nil || len(more) == 0 {
			return false, err
		}
		l.first = append(l.first, more...)
	}
}
