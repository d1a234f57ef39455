package daemon

import (
	"context"
	"errors"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
)

// ErrNoRecord says that the lines of a session are no longer in the journal. It is a
// logbook.ErrNotFound: who asks for them asks for what there is not, and nothing went wrong.
var ErrNoRecord error = noRecord{}

type noRecord struct{}

func (noRecord) Error() string { return "the raw record of this charge is no longer kept" }

func (noRecord) Is(target error) bool { return target == logbook.ErrNotFound }

// Samples returns the rows of a session and of the rest after it, by the session's
// own time, from the journal, or as coarsely as they were kept beside it. The error is a
// logbook.ErrNotFound for an unknown session, and for one of which nothing is kept.
func (d *Daemon) Samples(ctx context.Context, id string) ([]curve.Point, error) {
	session, err := d.book.Session(ctx, id)
	if err != nil {
		return nil, err
	}
	var points []curve.Point
	shift, err := d.Retrace(ctx, session, func(m *analyze.Machine) {
		if len(points) == mostPoints {
			points = curve.Downsample(points, mostPoints/2)
		}
		t, v, i, c, _ := m.Last()
		points = append(points, curve.Point{At: t, Volts: v, Amps: i, Celsius: c})
	})
	for k := range points {
		points[k].At += shift
	}
	if errors.Is(err, ErrNoRecord) {
		if shape := KeptShape(d.cfg.Data, &session); shape != nil {
			return shape, nil
		}
	}
	if err == nil && session.Settled && readShape(d.cfg.Data, &session) == nil {
		if err := shapeOf(&session, curve.Downsample(points, shapePoints)).write(d.cfg.Data); err != nil {
			d.cfg.Log.Warn("cannot keep the shape of a charge", "session", id, "error", err)
		}
	}
	return points, err
}

// Retrace replays the lines of a session as its channel is set up; see the function
// Retrace.
func (d *Daemon) Retrace(ctx context.Context, session logbook.Session, each func(*analyze.Machine)) (shift float64, err error) {
	o, decoder := d.settingOf(session.Summary.Channel)
	return Retrace(ctx, d.cfg.Data, session, decoder, o, each)
}

// settingOf is how a channel's lines are decoded and judged by its configuration. One that
// is no longer configured is read as if nothing were known of it.
func (d *Daemon) settingOf(name string) (o analyze.Options, decoder string) {
	if c := d.channel(name); c != nil {
		return c.set.Options, c.set.Decoder
	}
	return analyze.Options{Channel: name}, "auto"
}

// mostPoints bounds what is kept of a session while it is read, so that a week at
// ten rows a second fits too. No peak is lost.
const mostPoints = 200_000

// Retrace replays the lines of a session and of the rest after it from the journal
// of a data folder, which no daemon needs to hold. each gets the machine after
// every new row; shift, in s, leads its times to those of the session. The error
// is an ErrNoRecord where the lines are no longer kept.
func Retrace(ctx context.Context, data string, session logbook.Session, decoder string, o analyze.Options, each func(*analyze.Machine)) (shift float64, err error) {
	p, err := placeOf(&session)
	if err != nil {
		return 0, err
	}
	o.Channel, o.Battery = session.Summary.Channel, string(session.Summary.Battery)
	s, done := p.story(decoder, o), false
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
	if err := s.findChoice(data, o.Channel); err != nil {
		return 0, err
	}
	last := -1.0
	err = s.playBack(ctx, data, o.Channel, p.From, sink, func(uint64) bool {
		if s.last.ok && s.last.elapsed > last {
			last = s.last.elapsed
			each(s.machine)
		}
		return !done
	})
	if err == nil && last < 0 {
		err = ErrNoRecord
	}
	return shift, err
}
