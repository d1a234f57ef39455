package analyze

// blind is a time without rows that began while current flowed: the recorder was off, or
// its lead out. What happened meanwhile is nobody's to tell; it may well have been the
// charge's own end.
type blind struct {
	is       bool
	from, to float64 // s, the last row before and the first one after
	after    float64 // V, in that
	sank     bool    // the current had ceased by then, or was a trickle
	done     bool    // the charge may have been complete by then
}

// blindShare: where nobody looked for so much of the time that a charge had lasted, it
// may have come to its end meanwhile. A minute of it, as a power cut takes that stops
// recorder and charger alike, is no such time. The peak of nickel, and the end after it, are
// over in less. Our choice.
const (
	blindShare = 0.05
	blindPeak  = 0.02 // of a battery that may be nickel
)

// missed takes a gap, before and after which current may have flowed.
func (c *charge) missed(iv *interval, flowed bool) {
	c.sighted = iv.b.t
	if !flowed {
		return
	}
	c.unseen += (iv.a.i + iv.b.i) / 2 * iv.dt
	c.looked(iv.a, iv.b, iv.b.i < trickleShare*iv.a.i)
}

// looked takes the rows before and after a gap, of which the first had current, and
// whether that had sunk by the second. The charge may have been complete by then if its
// forecast says so, or else if the gap was long enough; and in a taper that had come far
// chargers end where they like.
func (c *charge) looked(last, next *row, sank bool) {
	c.blind = blind{is: true, from: last.t, to: next.t, after: next.v, sank: sank}
	switch n := c.foretold(); {
	case c.hold.found && last.i < droppedShare*c.most:
		c.blind.done = true
	case n.ok:
		c.blind.done = next.t >= n.finish-2*n.u
	default:
		share := blindShare
		if id := c.bounds.of.chemistry; id == "" || id.Nickel() {
			share = blindPeak
		}
		c.blind.done = next.t-last.t >= share*(last.t-c.begin.t)
	}
}

// hung takes the first reading after the meter had shown the same since a time, s: what
// happened meanwhile nobody saw either, a forecast from it tells nothing, and what was counted
// may never have flowed.
func (c *charge) hung(since float64, r *row) {
	last := c.trace.end.row
	last.t = since
	c.looked(&last, r, r.i < trickleShare*last.i)
	c.blind.done = c.blind.done || r.t-since >= blindShare*(since-c.begin.t)
	c.phantom += c.wentSince(since)
}

// wentSince is what has been counted since a time, C.
func (c *charge) wentSince(t float64) float64 { return c.trace.end.sum.in - c.trace.sumAt(t).in }

// mayBeDone reports whether a charge that is over may have been complete while nobody
// looked: its current had ceased by then, was a trickle from then on, or did not go on for
// long, as that of nickel whose peak nobody saw coming. What is known to be no nickel is
// not done while the whole current still flows.
func (c *charge) mayBeDone(v *view) bool {
	b, stop := &c.blind, c.stop().t
	soon := stop-b.to < blindShare*(stop-c.begin.t)
	if id := v.id.chemistry; id != "" && !id.Nickel() && v.tail > ebbedShare*v.set {
		soon = false
	}
	return b.done && (stop < b.to || b.sank && v.tail < trickleShare*c.most || soon)
}
