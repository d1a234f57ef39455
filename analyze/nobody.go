package analyze

// nobody gathers what tells, before a charge, that a charger is on and no battery hangs on it. A lead that comes off a
// battery is told by looseLead; after a charge it may be taken off, and what its charger then does is nobody's matter until
// there has been nothing on the leads.
type nobody struct {
	tries unanswered
	apart untouched
	swing wandering
	told  bool
	off   bool // there was no battery since the last charge
}

// nobodyThere takes a row, and raises or clears the finding.
func (m *Machine) nobodyThere(r *row) {
	n := &m.nobody
	if c := m.charge; c != nil && (!c.over && !c.rest.takenAway() || !n.off && r.v >= c.nothing()) {
		*n = nobody{tries: unanswered{last: r.v}}
		return
	}
	n.off = true
	patience := m.opt.Patience.of(CodeOpenCircuit)
	since, message := n.tries.push(r, m.in.least(m.amps.noise(), m.amps.step()), patience)
	if message == "" {
		since, message = n.swing.push(r, m.in.on, patience)
	}
	if message == "" {
		since, message = n.apart.push(r, &m.opt, m.amps.digit(), patience)
	}
	if holds := message != ""; holds || n.told {
		n.told = holds
		if !holds {
			since = r.t
		}
		m.notice(CodeOpenCircuit, since, holds, message)
	}
}

// nothing is less than a battery shows that was charged, V.
func (c *charge) nothing() float64 { return looseGone * c.maxVolts }

const lookAtTheClamps = ". Look at the clamps first; switch the charger off before touching them"
