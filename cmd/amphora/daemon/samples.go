package daemon

import (
	"context"
	"errors"
	"fmt"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture/journal"
	"amphora/dashboards/curve"
)

// ErrNoRecord says that the lines of a session are no longer in the journal.
var ErrNoRecord = errors.New("the raw record of this charge is no longer kept")

// Samples returns the rows of a session and of the rest after it, by the session's
// own time, from the journal. The error is a logbook.ErrNotFound for an unknown
// session.
func (d *Daemon) Samples(ctx context.Context, id string) ([]curve.Point, error) {
	session, err := d.book.Session(ctx, id)
	if err != nil {
		return nil, err
	}
	o := analyze.Options{Channel: session.Summary.Channel}
	decoder := "auto"
	for _, c := range d.channels {
		if c.set.Name == o.Channel {
			o, decoder = c.set.Options, c.set.Decoder
		}
	}
	return samples(ctx, d.cfg.Data, session, decoder, o)
}

// mostPoints bounds what is kept of a session while it is read, so that a week at
// ten rows a second fits too. No peak is lost.
const mostPoints = 200_000

func samples(ctx context.Context, data string, session logbook.Session, decoder string, o analyze.Options) ([]curve.Point, error) {
	p, err := parsePlace(session.JournalFrom)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoRecord, err)
	}
	r, err := journal.NewReader(data, session.Summary.Channel, p.From)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	s := newStory(decoder, o)
	s.chosen, s.replaying = p.Decoder, true
	s.restart(p.From, 0)

	var points []curve.Point
	shift, done := 0.0, false
	sink := func(t turn) {
		for k := range t.events {
			e := &t.events[k]
			if e.Kind != analyze.SessionBegan {
				continue
			}
			if e.Session.ID == session.Summary.ID {
				shift = float64(session.Summary.StartS - e.Session.StartS)
			} else if at := float64(e.Session.StartS) + shift; at > float64(session.Summary.EndS) {
				done = true // the next charge
			}
		}
		done = done || t.closed
	}
	last := -1.0
	for r.Next() && !done {
		rec := r.Record()
		if rec.Seq < p.From {
			continue
		}
		s.frame(rec.Seq, &rec.Frame, rec.BootID, sink)
		if s.last.ok && s.last.elapsed > last {
			last = s.last.elapsed
			points = append(points, curve.Point{At: last, Volts: s.last.volts, Amps: s.last.amps, Celsius: s.last.celsius})
		}
		if len(points) == mostPoints {
			points = curve.Downsample(points, mostPoints/2)
		}
		if rec.Seq%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	for k := range points {
		points[k].At += shift
	}
	if len(points) == 0 {
		return nil, ErrNoRecord
	}
	return points, r.Err()
}
