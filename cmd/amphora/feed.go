package main

import (
	"bytes"
	"errors"
	"io"

	"amphora/analyze"
	"amphora/capture"
	"amphora/decoders"
)

// A log is decoded and judged by turns, some rows at a time: few enough that they are
// still near the processor when they are judged.
const (
	batchRows = 512

	nightBatches = 256 // more than a night has of them, where rows are a second apart
)

// feed passes a whole log, first and then rest, which is read to where first was.
func feed(p *pipeline, first []byte, rest io.Reader) error {
	f := &feeder{pipeline: p, batch: make([]analyze.Sample, 0, batchRows)}
	f.block(first)
	block := first[:cap(first)]
	for {
		n, err := rest.Read(block)
		f.block(block[:n])
		if n == 0 && err != nil {
			f.split.Flush(f.line)
			f.judge()
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
	}
}

// feeder takes a log's text to its pipeline.
type feeder struct {
	*pipeline
	split  capture.Splitter
	batch  []analyze.Sample // decoded, and not judged yet
	judged int              // batches that were full
}

// block decodes what came in one piece: plain rows at once, and line by line what
// stands between them.
func (f *feeder) block(text []byte) {
	for len(text) > 0 {
		if f.split.Between() {
			f.batch, text = f.stream.Block(text, f.batch)
			if f.full() {
				continue
			}
		}
		end := bytes.IndexByte(text, '\n') + 1
		if end == 0 {
			end = len(text)
		}
		f.split.Feed(text[:end], f.line)
		text = text[end:]
	}
}

// line decodes a line by itself.
func (f *feeder) line(text []byte, _ capture.Flags) {
	sample, err := f.stream.Line(text, unstamped, 0)
	if err == nil {
		f.batch = append(f.batch, sample)
		f.full()
	} else if why := err.(*decoders.Refusal); why.Row() {
		f.judge()
		f.machine.Refuse(sample, why.Error())
	}
}

// full judges the batch if it has no room left, and tells so.
func (f *feeder) full() bool {
	if len(f.batch) < batchRows {
		return false
	}
	f.judge()
	if f.judged++; f.judged == nightBatches {
		gather(thrift)
	}
	return true
}

// judge takes what was decoded in the order of the log.
func (f *feeder) judge() {
	f.steps(f.batch)
	f.batch = f.batch[:0]
}
