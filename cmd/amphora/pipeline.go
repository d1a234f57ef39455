package main

import (
	"math"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/report"
	"amphora/decoders"
)

// pipeline is the way of a log's lines into the machine.
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

// steps takes samples that follow each other.
func (p *pipeline) steps(samples []analyze.Sample) {
	if p.curve == nil && p.track == nil {
		p.machine.StepBlock(samples)
		return
	}
	for i := range samples {
		p.machine.Step(samples[i])
		if p.curve != nil {
			if t, v, i, c, ok := p.machine.Last(); ok {
				p.curve.Add(t, v, i, c)
			}
		}
		if p.track != nil {
			p.track.Take(p.machine)
		}
	}
}

// unstamped is the arrival of a line that nobody stamped.
var unstamped = math.NaN()
