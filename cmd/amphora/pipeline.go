package main

import (
	"math"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/report"
	"amphora/decoders"
)

// pipeline is the way of one source's lines into the machine. Files, replays and
// live sources all go through it, so the same lines give the same numbers.
type pipeline struct {
	stream  *decoders.Stream
	machine *analyze.Machine
	curve   *curve.Curve  // nil where nobody wants one
	track   *report.Track // likewise
}

func newPipeline(l *decoders.Layout, o analyze.Options) (*pipeline, error) {
	s, err := decoders.NewStream(l)
	if err != nil {
		return nil, err
	}
	return &pipeline{stream: s, machine: analyze.New(o)}, nil
}

// line takes one line without its end; arrival and wall as in decoders.Stream.
// The events are valid until the next line.
func (p *pipeline) line(text []byte, arrival float64, wall int64) []analyze.Event {
	sample, err := p.stream.Line(text, arrival, wall)
	if err != nil {
		if r := err.(*decoders.Refusal); r.Row() {
			return p.machine.Refuse(sample, r.Error())
		}
		return nil
	}
	events := p.machine.Step(sample)
	if p.curve != nil {
		if t, v, i, c, ok := p.machine.Last(); ok {
			p.curve.Add(t, v, i, c)
		}
	}
	if p.track != nil {
		p.track.Take(p.machine)
	}
	return events
}

// unstamped is the arrival of a line that nobody stamped.
var unstamped = math.NaN()
