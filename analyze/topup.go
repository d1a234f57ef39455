package analyze

// A battery that was full, and that nobody has used since, is not in the middle of a charge
// when its charger comes back to top it up and stops again after some minutes, wherever its
// voltage has come to: some chargers look after a full battery in that way for months. How
// much it may take of a full one before something else must have emptied it: what it loses by
// itself in a month or two. Common practice, no source.
const topUpShare = 0.05 // of capacity, or of the charge that filled it

// fullBefore is how much a charge that begins may take until it is clear that the battery had
// not been full, C; 0 where it is not known to have been, or may have been used or exchanged
// since. stood is how it was seen to stand until now.
func (m *Machine) fullBefore(stood *resting) float64 {
	c := m.charge
	if c == nil || !c.stopped || c.rest.ended || stood.watched.since != afterCharge || stood.watched.rows == 0 {
		return 0
	}
	if c.toppedUp() {
		return c.filled - c.went()
	}
	if Known(m.view().finish) {
		return topUpShare * m.reference()
	}
	return 0
}

// toppedUp reports whether a charge was of a battery that was full before it.
func (c *charge) toppedUp() bool { return c.filled > 0 && c.went() < c.filled }
