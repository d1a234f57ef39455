package analyze

import "fmt"

// stripped is how much of what went in may be drawn and still count as taking
// off the surface charge, rather than as discharging the battery.
const stripped = 0.05

// restAfter is the rest after a discharge. After a charge it is the better one,
// since the load took the surface charge off; in a log without a charge it is
// the only one.
type restAfter struct {
	rest
	load mark // the last row with current
	seen bool
}

func (r *restAfter) begin(last *mark) { *r = restAfter{load: *last, seen: true} }

func (r *restAfter) add(m *mark) {
	if !r.goesOn() {
		return
	}
	if !r.taken(&m.row, &r.load.row, r.nothing()) {
		r.rest.add(&m.row, &r.load.row)
	}
	r.ended = r.takenAway()
}

func (r *restAfter) goesOn() bool { return r.seen && !r.ended }

// nothing is less than a battery shows that gave a current, V.
func (r *restAfter) nothing() float64 { return looseGone * r.load.v }

func (r *restAfter) follow(rows []row) {
	if r.goesOn() {
		r.rest.follow(rows, &r.load.row)
	}
}

// restOf is the rest that tells most of a charge.
func (m *Machine) restOf(c *charge, v *view) *RestFit {
	if c.loose.reason != "" {
		return nil // no battery on the leads
	}
	b := restingBattery{identity: v.id, celsius: m.celsius, after: "the charge"}
	in := c.went()
	drawn := m.loaded.load.sum.out - c.stop().sum.out
	if m.loaded.seen && m.loaded.load.t > c.stop().t && drawn < stripped*in && m.loaded.to-m.loaded.from >= leastRest {
		b.after = "a load that took the surface charge off"
		return m.loaded.fit(&b, &m.opt, &m.volts)
	}
	if let := c.rest.let; let != nil {
		b.after = fmt.Sprintf("the charger let go of it at %s, which had held it with less current than this meter shows", clock(let.t))
	}
	return c.rest.fit(&b, &m.opt, &m.volts)
}

// restAfterLoad is the rest after the last discharge of a log without a charge.
func (m *Machine) restAfterLoad() *RestFit {
	if m.nobody.told || !m.loaded.seen {
		return nil
	}
	b := restingBattery{identity: identity{chemistry: m.opt.Chemistry, cells: m.opt.Cells}, celsius: m.celsius, after: "the discharge"}
	if b.cells == 0 {
		b.cells = restingCells(b.chemistry, m.loaded.last)
	}
	return m.loaded.fit(&b, &m.opt, &m.volts)
}
