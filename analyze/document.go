package analyze

import (
	"fmt"
	"slices"
)

// This file is about what can be asked of a machine at any moment.

// Epoch is the date of the log's first row, ns since 1970, as far as is known by
// now; 0 where no row told one.
func (m *Machine) Epoch() int64 { return m.wall }

// Drain returns the charges that are closed for good and forgets them.
func (m *Machine) Drain() []Session {
	s := m.closed
	m.closed = nil
	return s
}

// Document is all that can be said by now. It takes nothing away: samples may go
// on to be fed afterwards. The log's source, decoder and layout are for the
// caller to fill in.
func (m *Machine) Document() Document {
	end := m.clone()
	end.celsius = end.told
	for iv := new(interval); end.window.flush(iv); {
		end.interval(iv)
	}
	end.hush()
	if !end.started && end.window.n == 1 {
		end.alone(&end.window.rows[0])
	}
	r := &end.rejected
	d := Document{Log: Log{
		Rows: m.rows, Used: m.rows - r.count,
		Rejected: r.first, RejectedCount: r.count, RejectedByReason: r.byReason,
		Meter: fmt.Sprintf("current %s, voltage %s", m.opt.Current.orDefault(), m.opt.Voltage.orDefault()),
	}}
	d.Sessions = append(end.closed, end.unfinished())
	return d
}

// alone is a log of a single row.
func (m *Machine) alone(r *row) {
	m.started = true
	m.advance(r)
	m.ledger.from = *m.last()
}

func (m *Machine) clone() *Machine {
	c := *m
	c.rejected = m.rejected.clone()
	c.ledger, c.after = m.ledger.clone(), m.after.clone()
	c.closed = slices.Clone(m.closed)
	c.events, c.unheard = nil, true
	c.seen, c.room = nil, trace{}
	c.charge, c.next = m.charge.clone(), m.next.clone()
	return &c
}

func (c *charge) clone() *charge {
	if c == nil {
		return nil
	}
	c.foretold()
	d := *c
	d.ahead = nil
	d.trace = c.trace.clone()
	d.findings = c.findings.clone()
	return &d
}

// Last is the latest usable row: elapsed time since the log's first row (s),
// volts, amps, and degrees Celsius, the last known; ok is false before the first.
func (m *Machine) Last() (t, volts, amps, celsius float64, ok bool) {
	w := &m.window
	if w.n == 0 {
		return 0, 0, 0, 0, false
	}
	r := &w.rows[w.n-1]
	return r.t, r.v, r.i, r.celsius, true
}

// Idle reports whether no charge is under way, as far as is known by now: none
// has begun, but for what may be the meter's zero, or the last one is over.
func (m *Machine) Idle() bool {
	return (m.next == nil || !m.moreThanZero(m.next)) && (m.charge == nil || m.charge.over)
}

// Stage is the stage as last told of in an event.
func (m *Machine) Stage() StageName { return m.shown }
