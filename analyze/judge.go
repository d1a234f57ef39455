package analyze

import (
	"fmt"
	"math"
)

// judge adds the findings that look at a charge as a whole.
func (m *Machine) judge(c *charge, v *view, s *Session, f *findings) {
	c.pauses.report(f, v.finish, c.over || Known(v.finish), m.opt.Patience)
	powerLimited(c, v, f, m.opt.Patience)
	if s.Outcome == CutShort {
		currentDropped(c, v, &m.opt, &m.volts, &m.amps, m.last().t, f)
	}
}

// A source limited in power gives less current as the voltage rises: over the
// stage the current falls by as much as the voltage rises, and their product
// stands still. It is over when the voltage limit rules, or the current stops. Common
// practice, no source.
const (
	powerFall   = 0.03 // the current must have fallen by so much
	powerSpread = 0.5  // and the power by less than this share of it
)

func powerLimited(c *charge, v *view, f *findings, p Patience) {
	tr := &c.trace
	n := min(v.constantAt, len(tr.bins))
	if n < 24 {
		return
	}
	early, late := n/8, n-n/8 // clear of a soft start and of the bend
	v1, i1, _ := tr.mean(early, early+n/8)
	v2, i2, _ := tr.mean(late-n/8, late)
	fall, rise := 1-i2/i1, v2/v1-1
	if fall < powerFall*p.of(CodePowerLimited) || rise <= 0 {
		return
	}
	if power := math.Abs(1 - v2*i2/(v1*i1)); power < powerSpread*fall {
		message := fmt.Sprintf("the current fell from %.3g to %.3g A while the voltage rose from %.2f to %.2f V: about %.3g W all the while, the source is limited in power, not in current. Many are; a stronger one would be done sooner", i1, i2, v1, v2, v1*i1)
		switch at := c.begin.t; {
		case Known(v.cv):
			f.happened(CodePowerLimited, at, v.cv, message)
		case c.stopped:
			f.happened(CodePowerLimited, at, c.stop().t, message)
		default:
			f.raise(CodePowerLimited, at, message)
		}
	}
}
