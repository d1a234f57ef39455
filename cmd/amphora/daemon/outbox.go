package daemon

import (
	"context"
	"fmt"
	"math"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/dashboards/push"
)

// outbox collects what a record brings for those that everything is pushed to, and
// hands it over once the record has been understood. Nothing of it waits.
//
// What cannot be dated yet, because nobody has set the clock of the host, stays
// until it can be: a reading of 1970 helps nobody. After a restart the journal tells
// it again, since no sink was given it.
type outbox struct {
	readings []undated
	sessions []*analyze.Session
	first    float64 // C, what had flowed when this charge began; NaN outside of one
	last     float64 // elapsed time of the last reading, s
	lost     int     // readings that could never be dated
	handed   int     // records since the sinks were last waited for
}

// undated is a reading by its time since the log's first row, s.
type undated struct {
	t float64
	push.Sample
}

// mostUndated bounds what waits for a date: a day at one reading a second.
const mostUndated = 86400

// boxed is an outbox before the first row of an account.
func boxed() outbox { return outbox{first: math.NaN(), last: math.Inf(-1)} }

// reading takes a row that was just used.
func (c *channel) reading() {
	m, o := c.story.machine, &c.out
	t, v, i, celsius, ok := m.Last()
	if len(c.sinks) == 0 || !ok || t == o.last {
		return
	}
	o.last = t
	if len(o.readings) == mostUndated {
		o.readings = append(o.readings[:0], o.readings[mostUndated/2:]...)
		o.lost += mostUndated / 2
	}
	_, in, _ := m.Flowed()
	o.readings = append(o.readings, undated{t, push.Sample{
		Stage: m.Stage(), Volts: v, Amps: i, Celsius: celsius, ChargeAh: max(0, in-o.first) / 3600,
	}})
}

// charged takes what an event says of a charge.
func (o *outbox) charged(e *analyze.Event, m *analyze.Machine) {
	switch e.Kind {
	case analyze.SessionBegan:
		if _, in, ok := m.Flowed(); ok {
			o.first = in - 3600*float64(e.Session.ChargeInAh)
		}
	case analyze.SessionOver:
		o.sessions = append(o.sessions, e.Session)
	case analyze.SessionClosed:
		o.sessions, o.first = append(o.sessions, e.Session), math.NaN()
	}
}

// send hands over what the record of a number brought, and what had waited.
func (c *channel) send(seq uint64) {
	o := &c.out
	if len(o.readings) == 0 && len(o.sessions) == 0 {
		return
	}
	epoch := c.story.machine.Epoch()
	if !capture.ClockSet(time.Unix(0, epoch)) {
		return
	}
	r := push.Record{Channel: c.set.Name, Battery: c.set.Options.Battery, Seq: seq}
	for k := range o.readings {
		u := &o.readings[k]
		u.At = time.Unix(0, epoch+int64(math.Round(u.t*1000))*1e6).UTC()
		r.Samples = append(r.Samples, u.Sample)
	}
	for _, s := range o.sessions {
		if s.Started != nil && capture.ClockSet(*s.Started) {
			r.Sessions = append(r.Sessions, s)
		}
	}
	o.readings, o.sessions = o.readings[:0], o.sessions[:0]
	for _, s := range c.sinks {
		if c.skip == nil || seq > c.skip[s] {
			s.Take(r)
			o.handed++
		}
	}
}

// waitEvery is how many records a replay hands over before it waits for the sinks.
const waitEvery = 4096

// wait lets the sinks keep up with a replay, which is quicker than any night. One
// whose disk refuses will drop and count.
func (c *channel) wait(ctx context.Context) {
	if c.out.handed >= waitEvery {
		c.out.handed = 0
		_ = settle(ctx, c.sinks)
	}
}

// emptied begins anew with another account; what could not be dated never will be.
func (c *channel) emptied() {
	if n := c.out.lost + len(c.out.readings); n > 0 {
		c.log.Warn("readings are not pushed: the clock of this host was not set while they came", "channel", c.set.Name, "readings", n)
	}
	c.out = boxed()
}

// unsent is where a replay may begin to hand over again, for each sink.
func (c *channel) unsent() map[push.Sink]uint64 {
	after := make(map[push.Sink]uint64, len(c.sinks))
	for _, s := range c.sinks {
		after[s] = s.After(c.set.Name)
	}
	return after
}

// settle waits until every sink has what it was given safe: a place in the journal
// that is written down must not leave anything behind that was not handed over.
func settle(ctx context.Context, sinks []push.Sink) error {
	for _, s := range sinks {
		if err := s.Sync(ctx); err != nil {
			return err
		}
	}
	return nil
}

// pushed is how the pushing goes, for people.
func pushed(outlets []push.Outlet) []live.Push {
	var all []live.Push
	for _, o := range outlets {
		st := o.Status()
		all = append(all, live.Push{
			Target: st.Name, Pending: st.Pending, Dropped: st.Dropped, Refused: st.Refused,
			Since: moment(st.Since), Why: live.Text(st.Why),
		})
	}
	return all
}

// pushNews reports, once, that a push fails which did not, or the other way, or that
// everything is delivered: no line may come that would show it.
func (c *channel) pushNews() bool {
	before := c.trouble
	c.trouble = ""
	for _, o := range c.outlets {
		st := o.Status()
		c.trouble += fmt.Sprintln(st.Why, st.Pending == 0)
	}
	return c.trouble != before
}
