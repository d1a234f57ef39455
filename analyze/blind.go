package analyze

// blind is a time without rows in which a current ceased, or fell to a trickle: the
// recorder was off, or its lead out. What happened meanwhile is nobody's to tell; it may
// well have been the charge's own end.
type blind struct {
	is    bool
	from  float64 // s, the last row before
	after float64 // V, in the first row after
	done  bool    // the charge may have been complete by then
}

// blindShare: where nobody looked for so much of the time that a charge had lasted, it
// may have come to its end meanwhile. A minute of it, as a power cut takes that stops
// recorder and charger alike, is no such time. Our choice.
const blindShare = 0.05

// missed takes a gap, before and after which current may have flowed.
func (c *charge) missed(iv *interval, flowed bool) {
	c.sighted = iv.b.t
	if !flowed {
		return
	}
	c.unseen += (iv.a.i + iv.b.i) / 2 * iv.dt
	if iv.b.i < trickleShare*iv.a.i {
		c.looked(iv.a, iv.dt, iv.b.v)
	}
}

// looked takes so many seconds without rows behind one in which current flowed, and what
// the battery shows after it, V. The charge may have been complete by then if its forecast
// says so, or else if it was long enough; and in a taper that had come far chargers end
// where they like.
func (c *charge) looked(last *row, seconds, after float64) {
	c.blind = blind{is: true, from: last.t, after: after}
	switch n := &c.outlook; {
	case c.hold.found && last.i < droppedShare*c.most:
		c.blind.done = true
	case n.ok:
		c.blind.done = last.t+seconds >= n.finish-2*n.u
	default:
		c.blind.done = seconds >= blindShare*(last.t-c.begin.t)
	}
}

// mayBeDone reports whether a charge that is over may have been complete while nobody
// looked: its current had ceased by then, or was a trickle from then on.
func (c *charge) mayBeDone(v *view) bool {
	return c.blind.done && (c.blind.from == c.stop().t || v.tail < trickleShare*c.most)
}
