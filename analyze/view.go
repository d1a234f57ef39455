package analyze

// view is a charge seen as a whole at one moment: the answers of all parts,
// with boundaries dated back.
type view struct {
	id         identity
	set        float64 // A
	held       float64 // V
	cv         float64 // s, NaN without constant voltage
	bend       bend
	finish     float64 // s, NaN while not complete
	endedBy    EndedBy
	finishWhy  string
	tail       float64 // A, just before the end
	limit      tailLimit
	constantAt int // bin of cv
}

func (c *charge) view(o *Options, volts, amps *meter) view {
	tr := &c.trace
	v := view{cv: Unknown(), finish: Unknown(), held: Unknown(), tail: tailCurrent(tr)}
	end := len(tr.bins)
	v.constantAt = end
	if c.hold.found {
		level := heldVolts(tr, tr.index(c.hold.from), c.hold.until(tr), c.hold.volts)
		v.bend = findBend(tr, &c.hold, level, volts, amps, &c.bent)
		v.cv = v.bend.at
		v.constantAt = firstBinAfter(tr, v.cv)
	}
	v.set = c.setCurrent(v.constantAt)
	if c.hold.found {
		v.held = heldVolts(tr, v.constantAt, c.hold.until(tr), c.hold.volts)
	}
	v.id = infer(o, tr, &c.hold, v.held, &c.peak)
	v.limit = newTailLimit(o, v.id.chemistry)
	v.limit.unseen = c.unseen
	c.finished(&v, o, amps, volts)
	return v
}

// view is the charge under way as a whole, looked at once for each change of the answers.
func (m *Machine) view() *view {
	if m.seen == nil {
		v := m.charge.view(&m.opt, &m.volts, &m.amps)
		m.seen = &v
	}
	return m.seen
}
