package report

import (
	"fmt"
	"io"
	"strings"
	"time"

	"amphora/analyze"

	"github.com/influxdata/line-protocol/v2/lineprotocol"
)

// LineProtocol writes every row and every charge as line protocol with times in
// nanoseconds. A track of nil writes the charges alone. The error is an ErrNoDate
// where rows or charges have no date.
func LineProtocol(w io.Writer, t *Track, sessions []analyze.Session) error {
	for k := range sessions {
		if sessions[k].Started == nil {
			return fmt.Errorf("session %s: %w", sessions[k].ID, ErrNoDate)
		}
	}
	p := points{w: w}
	p.encoder.SetPrecision(lineprotocol.Nanosecond)
	if t != nil {
		err := t.each(sessions, func(x *exported) error {
			return p.write("charge_sample", []tag{{"battery", x.session.Battery}, {"channel", x.session.Channel}, {"stage", string(x.stage)}},
				[]measure{{"voltage", x.Volts}, {"current", x.Amps}, {"temperature", x.Celsius}, {"charge_ah", x.ah}}, *x.date)
		})
		if err != nil {
			return err
		}
	}
	for k := range sessions {
		s := &sessions[k]
		lasted := float64(s.EndS - s.StartS)
		err := p.write("charge_session", []tag{{"battery", s.Battery}, {"channel", s.Channel}, {"outcome", string(s.Outcome)}},
			[]measure{{"charge_ah", float64(s.ChargeInAh)}, {"energy_wh", float64(s.EnergyInWh)}, {"duration_s", lasted}, {"held_v", float64(s.HeldV)}, {"set_a", float64(s.SetA)}},
			s.Started.Add(time.Duration(lasted*float64(time.Second))))
		if err != nil {
			return err
		}
	}
	return nil
}

type tag struct{ key, value string }

type measure struct {
	key   string
	value float64
}

// points writes one point at a time.
type points struct {
	w       io.Writer
	encoder lineprotocol.Encoder
}

// write writes a point whose tags are in the order of their keys. What is empty
// or unknown is left out; a point of which nothing is left is no point.
func (p *points) write(name string, tags []tag, fields []measure, at time.Time) error {
	p.encoder.Reset()
	p.encoder.StartLine(name)
	for _, t := range tags {
		if text := tagText(t.value); text != "" {
			p.encoder.AddTag(t.key, text)
		}
	}
	some := false
	for _, f := range fields {
		// Every value stays a float: a field's type is fixed at its first point.
		if v, ok := lineprotocol.FloatValue(f.value); ok {
			p.encoder.AddField(f.key, v)
			some = true
		}
	}
	if !some {
		return nil
	}
	p.encoder.EndLine(at)
	if err := p.encoder.Err(); err != nil {
		return fmt.Errorf("line protocol of %s at %s: %w", name, at.UTC().Format(time.RFC3339), err)
	}
	_, err := p.w.Write(p.encoder.Bytes())
	return err
}

// tagText is text as a tag may hold it: no control characters, good UTF-8, and no
// backslash at its end, which would swallow the separator.
func tagText(s string) string {
	return strings.TrimRight(clean(strings.ToValidUTF8(s, "\uFFFD")), `\ `)
}
