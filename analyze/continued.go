package analyze

import (
	"fmt"
	"slices"
)

// A charge that broke off in its middle is over after half an hour, and what comes hours later is a
// charge of its own. Where the mains were away for so long it goes on with the one before all the
// same, and says so: nobody need wonder why it takes so little. It does where it was seen all the
// while that the battery was left alone: it hung on the leads, nothing was taken out of it, and its
// voltage only sank, from where it had come to, and not to where it had been before. A battery that
// was used, or exchanged for another one that needs a charge, stands lower, dips or leaves the
// leads bare. Common practice, no source.
type broken struct {
	is         bool
	at, until  float64 // s, when the current stopped and when it flowed again
	amps, went float64 // A and C of the charge before
}

// brokenAt is where a charge that begins may go on with the one before; stood is how the battery
// was seen to stand until now.
func (m *Machine) brokenAt(begin *mark, stood *resting) broken {
	c := m.charge
	if c == nil || !c.stopped || c.rest.ended || stood.rows < restingRows {
		return broken{}
	}
	b := broken{at: c.stop().t, until: begin.t, amps: m.view().tail, went: c.went()}
	slack := max(heldSlack*stood.volts, 4*m.volts.noise(), 1.5*m.volts.step())
	b.is = b.until-b.at <= holdAcrossGap && !m.lookedAway(b.at) && c.rest.onlySank(slack) &&
		(!Known(c.resting) || stood.volts > c.resting+slack)
	return b
}

// lookedAway reports whether rows were missing since a time, s, for longer than a pause may be.
func (m *Machine) lookedAway(since float64) bool {
	long := func(g Gap) bool { return float64(g.StartS) >= since && g.EndS-g.StartS > pauseLimit }
	return slices.ContainsFunc(m.ledger.gaps, long) || slices.ContainsFunc(m.after.gaps, long)
}

// onlySank reports whether the voltage never went up again, by more than a slack, V.
func (r *rest) onlySank(slack float64) bool {
	if r.n == 0 {
		return false
	}
	least := r.last
	for k := range r.bins[:r.n] {
		least = min(least, r.bins[k].v/r.bins[k].rows)
	}
	return r.last <= least+slack
}

// goesOn settles whether the charge before, as it is put away, had broken off, and ends what was found of that; nil
// where nothing was.
func (b *broken) goesOn(before *Session) *Finding {
	f := (&findings{before.Findings}).find(CodeCurrentDropped)
	if b.is = b.is && f != nil && f.AtS == before.EndS; !b.is {
		return nil
	}
	f.EndS = Number(b.until)
	return f
}

// report notes the break, beside the pauses that may have come since.
func (b *broken) report(f *findings, patience Patience) {
	if !b.is || patience.times(CodeInterrupted, 1) > 1 {
		return
	}
	message := fmt.Sprintf("goes on with the charge that stopped at %s with %.3g A still flowing: %s without current, with the battery left alone. The %.3g Ah from before then come on top. The mains or the source failed, or a plug was pulled: look at them if it was not you",
		clock(b.at), b.amps, clock(b.until-b.at), ampHours(b.went))
	until := b.until
	if p := f.find(CodeInterrupted); p != nil {
		message += "; and since then " + p.Message
		until = float64(p.EndS)
		f.withdraw(CodeInterrupted)
	}
	f.happened(CodeInterrupted, b.at, until, message)
}
