package main

import (
	"bytes"
	"errors"
	"io"

	"amphora/analyze"
	"amphora/capture"
	"amphora/decoders"
)

// A log is decoded ahead of its judgement, on a core of its own where there are
// two. What was decoded goes over in batches, in the order of the log; there are
// only so many of them, so the decoder waits for the machine and memory stays
// bounded. They are made once and go round.

const (
	batchRows = 4096 // each of 64 bytes: with fewer, handing over costs more than is won
	batches   = 2    // one being filled, one being judged

	nightBatches = 32 // more than a night has of them, where rows are a second apart
)

// batch is some rows of a log that follow each other.
type batch struct {
	samples []analyze.Sample
	refused []refused
}

// refused marks one of a batch's samples as a row that must not be integrated.
type refused struct {
	at  int
	why *decoders.Refusal
}

func (b *batch) empty() { b.samples, b.refused = b.samples[:0], b.refused[:0] }

// judge takes a batch as line takes its lines one after the other.
func (p *pipeline) judge(b *batch) {
	from := 0
	for _, r := range b.refused {
		p.steps(b.samples[from:r.at])
		p.machine.Refuse(b.samples[r.at], r.why.Error())
		from = r.at + 1
	}
	p.steps(b.samples[from:])
}

// feed passes a whole log, first and then rest, which is read to where first was.
func feed(p *pipeline, first []byte, rest io.Reader) error {
	d := &ahead{stream: p.stream, full: make(chan *batch, batches), free: make(chan *batch, batches)}
	for range batches {
		d.free <- &batch{samples: make([]analyze.Sample, 0, batchRows)}
	}
	var err error
	go func() {
		err = d.read(first, rest)
		close(d.full)
	}()
	judged := 0
	for b := range d.full {
		p.judge(b)
		d.free <- b
		if judged++; judged == nightBatches {
			gather(thrift)
		}
	}
	return err
}

// ahead decodes a log into batches.
type ahead struct {
	stream *decoders.Stream
	split  capture.Splitter
	now    *batch // being filled
	full   chan *batch
	free   chan *batch
}

func (d *ahead) read(first []byte, rest io.Reader) error {
	d.now = <-d.free
	d.block(first)
	block := first[:cap(first)]
	for {
		n, err := rest.Read(block)
		d.block(block[:n])
		if n == 0 && err != nil {
			d.split.Flush(d.line)
			d.full <- d.now
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
	}
}

// block decodes what came in one piece: plain rows at once, and line by line what
// stands between them.
func (d *ahead) block(text []byte) {
	for len(text) > 0 {
		if d.split.Between() {
			d.now.samples, text = d.stream.Block(text, d.now.samples)
			if len(d.now.samples) == batchRows {
				d.pass()
				continue
			}
		}
		end := bytes.IndexByte(text, '\n') + 1
		if end == 0 {
			end = len(text)
		}
		d.split.Feed(text[:end], d.line)
		text = text[end:]
	}
}

// line decodes a line by itself.
func (d *ahead) line(text []byte, _ capture.Flags) {
	sample, err := d.stream.Line(text, unstamped, 0)
	if err != nil {
		why := err.(*decoders.Refusal)
		if !why.Row() {
			return
		}
		d.now.refused = append(d.now.refused, refused{len(d.now.samples), why})
	}
	d.now.samples = append(d.now.samples, sample)
	if len(d.now.samples) == batchRows {
		d.pass()
	}
}

// pass gives the batch away and takes an empty one.
func (d *ahead) pass() {
	d.full <- d.now
	d.now = <-d.free
	d.now.empty()
}
