package points

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"amphora/analyze"
	"amphora/dashboards/push"

	"github.com/influxdata/line-protocol/v2/lineprotocol"
)

// The names of the two kinds of points.
const (
	SampleName  = "charge_sample"
	SessionName = "charge_session"
)

// Own are the names that an extra tag may not have: those of our tags and fields,
// and time, which some servers keep for themselves.
var Own = []string{
	"battery", "channel", "outcome", "stage", "time",
	"charge_ah", "current", "duration_s", "energy_wh", "held_v", "set_a", "temperature", "voltage",
}

// Encoder writes one line after the other into memory. Make one with New.
type Encoder struct {
	lines   lineprotocol.Encoder
	sample  tags // battery, channel, stage
	session tags // battery, channel, outcome
}

// New makes an encoder that adds the same extra tags to every point. Their names
// must not be among Own.
func New(extra map[string]string) *Encoder {
	e := &Encoder{sample: newTags("stage", extra), session: newTags("outcome", extra)}
	e.lines.SetPrecision(lineprotocol.Nanosecond)
	return e
}

// Bytes are all lines since the last Reset. They are valid until the next call.
func (e *Encoder) Bytes() []byte { return e.lines.Bytes() }

// Reset forgets all lines.
func (e *Encoder) Reset() { e.lines.Reset() }

// Sample writes a reading. It reports whether there was anything to write: a
// reading of which nothing is known is no point.
func (e *Encoder) Sample(channel, battery string, s *push.Sample) (bool, error) {
	fields := [...]field{
		{"voltage", s.Volts}, {"current", s.Amps}, {"temperature", s.Celsius}, {"charge_ah", micro(s.ChargeAh)},
	}
	e.sample.set(battery, channel, string(s.Stage))
	return e.point(SampleName, &e.sample, fields[:], s.At)
}

// Session writes a charge, at the time of its end. It must know its date.
func (e *Encoder) Session(s *analyze.Session) (bool, error) {
	if s.Started == nil {
		return false, fmt.Errorf("charge %s has no date", s.ID)
	}
	lasted := math.Round(float64(s.EndS-s.StartS)*1000) / 1000
	fields := [...]field{
		{"charge_ah", micro(float64(s.ChargeInAh))}, {"energy_wh", micro(float64(s.EnergyInWh))}, {"duration_s", lasted},
		{"held_v", float64(s.HeldV)}, {"set_a", float64(s.SetA)},
	}
	e.session.set(string(s.Battery), s.Channel, string(s.Outcome))
	end := s.Started.Add(time.Duration(lasted * float64(time.Second)))
	return e.point(SessionName, &e.session, fields[:], end)
}

// micro rounds to a millionth, of an ampere-hour or a watt-hour: what lies behind it
// is the noise of the addition, and would be most of the line.
func micro(x float64) float64 { return math.Round(x*1e6) / 1e6 }

type field struct {
	name  string
	value float64
}

// point writes one line, or leaves everything as it was.
func (e *Encoder) point(name string, t *tags, fields []field, at time.Time) (bool, error) {
	if !slices.ContainsFunc(fields, func(f field) bool { return analyze.Known(f.value) }) {
		return false, nil
	}
	e.lines.StartLine(name)
	for k := range t.list {
		if t.list[k].text != "" {
			e.lines.AddTag(t.list[k].name, t.list[k].text)
		}
	}
	for _, f := range fields {
		// Every value is a float: a field's type is fixed at its first point.
		if v, ok := lineprotocol.FloatValue(f.value); ok {
			e.lines.AddField(f.name, v)
		}
	}
	e.lines.EndLine(at.Round(time.Millisecond)) // more no server keeps, and no meter tells
	if err := e.lines.Err(); err != nil {
		e.lines.ClearErr()
		return false, fmt.Errorf("line protocol of %s at %s: %w", name, at.UTC().Format(time.RFC3339), err)
	}
	return true, nil
}

// tags are those of one kind of point, in the order of their names. A name of a
// channel comes thousands of times, so what was made fit is remembered.
type tags struct {
	list  []tag
	named [3]int // where battery, channel, and stage or outcome are
}

type tag struct {
	name string
	from string // as given
	text string // as written
}

func newTags(third string, extra map[string]string) tags {
	t := tags{list: []tag{{name: "battery"}, {name: "channel"}, {name: third}}}
	for name, text := range extra {
		t.list = append(t.list, tag{name: name, text: Text(text)})
	}
	slices.SortFunc(t.list, func(a, b tag) int { return cmp.Compare(a.name, b.name) })
	for k, name := range []string{"battery", "channel", third} {
		t.named[k] = slices.IndexFunc(t.list, func(t tag) bool { return t.name == name })
	}
	return t
}

func (t *tags) set(values ...string) {
	for k, v := range values {
		if one := &t.list[t.named[k]]; one.from != v {
			one.from, one.text = v, Text(v)
		}
	}
}
