package madeup

import (
	"math"

	"amphora/analyze"
)

// lasting is how long the current limit must rule again, after the voltage
// limit had been touched, for the constant voltage to begin anew, in s.
const lasting = 30

// book keeps the truth of a night while it happens.
type book struct {
	truth Truth
	pack  *pack
	tail  float64 // A, complete by the rule of the summary document

	charge *ChargeTruth // the one that is or was last on
	out    float64      // C drawn since then
	in     float64      // C
	joules float64

	freeFor      float64 // s that the current limit has ruled without a break
	heldSum      float64 // V s
	heldFor      float64 // s
	peakAt       float64 // s
	lastV, lastI float64
	limited      bool
	resting      bool // since the charge, nothing but rest
	faulted      bool
}

func newBook(n Night, p *pack) *book {
	b := &book{pack: p, faulted: n.Faults.ReversedLeads || n.Faults.OpenLeadAt > 0 || n.Faults.RunawayAt > 0}
	b.truth = Truth{
		Name: n.Name, Story: n.Story, Good: n.Good,
		Chemistry: n.Battery.Chemistry, Cells: n.Battery.Cells, CapacityAh: analyze.Number(n.Battery.CapacityAh),
	}
	switch {
	case n.Battery.Chemistry.Lead():
		b.tail = 0.02 * n.Battery.CapacityAh
	case n.Battery.Chemistry.Lithium():
		b.tail = 0.05 * n.Battery.CapacityAh
	}
	return b
}

// open begins a page where a charge begins.
func (b *book) open(phase Phase) {
	if phase.Do != Charging {
		b.resting = b.resting && phase.Do == Rest
		return
	}
	none := analyze.Number(math.NaN())
	b.truth.Charges = append(b.truth.Charges, ChargeTruth{
		StartS: none, ReachS: none, LimitS: none, HoldS: none, FinishS: none, EndS: none, TailAmps: none,
		SetAmps: none, HeldVolts: none, PeakVolts: none, PeakCelsius: none, Ohm: none,
		OutAh: analyze.Number(b.out / 3600),
	})
	b.charge = &b.truth.Charges[len(b.truth.Charges)-1]
	b.out, b.in, b.joules = 0, 0, 0
	b.freeFor, b.heldSum, b.heldFor, b.lastI = 0, 0, 0, 0
}

// enter books one tick that ended at now.
func (b *book) enter(phase Phase, now, volts, amps float64, c *charging) {
	if amps < 0 {
		b.out -= amps * tick
	}
	if phase.Do == Charging && amps > 0 {
		b.enterCharge(now, volts, amps, c)
	}
	if b.resting && phase.Do == Rest {
		b.noteRest()
	}
}

func (b *book) enterCharge(now, volts, amps float64, c *charging) {
	t := b.charge
	if !analyze.Known(t.StartS) {
		t.StartS = analyze.Number(now - tick)
	}
	b.in += amps * tick
	b.joules += amps * volts * tick
	t.EndS = analyze.Number(now)
	if !analyze.Known(t.ReachS) && (c.limited || c.Volts > 0 && volts >= c.Volts) {
		t.ReachS = analyze.Number(now - tick)
	}
	t.PeakCelsius = higher(t.PeakCelsius, b.pack.celsius)
	if !(volts <= float64(t.PeakVolts)) {
		t.PeakVolts, b.peakAt = analyze.Number(volts), now
	}
	b.lastV, b.lastI, b.limited = volts, amps, c.limited
	if analyze.Known(t.FinishS) {
		return
	}
	if c.limited {
		b.enterHeld(now, volts, amps, c)
		return
	}
	t.SetAmps = higher(t.SetAmps, amps)
	b.freeFor += tick
}

// enterHeld books a tick in which the voltage limit ruled.
func (b *book) enterHeld(now, volts, amps float64, c *charging) {
	t := b.charge
	if !analyze.Known(t.LimitS) {
		t.LimitS = analyze.Number(now - tick)
	}
	if !analyze.Known(t.HoldS) || b.freeFor >= lasting {
		t.HoldS = analyze.Number(now - tick)
	}
	b.freeFor = 0
	switch {
	case c.floating > 0:
		t.FinishS, t.EndedBy = analyze.Number(now), analyze.EndFloat
	case amps <= b.tail && c.ramp > confirm:
		t.FinishS, t.EndedBy = analyze.Number(now), analyze.EndTailCurrent
	default:
		b.heldSum += volts * tick
		b.heldFor += tick
	}
}

// shut closes a charge's page; a log that ends here with current flowing leaves
// it running.
func (b *book) shut(phase Phase, last bool, now float64, c *charging) {
	if phase.Do != Charging {
		return
	}
	t := b.charge
	t.InAh, t.InWh = analyze.Number(b.in/3600), analyze.Number(b.joules/3600)
	t.Ohm = analyze.Number(b.pack.ohms())
	b.noteRest()
	b.resting = true
	if b.heldFor > 0 {
		t.HeldVolts = analyze.Number(b.heldSum / b.heldFor)
	}
	if b.lastI > 0 {
		t.TailAmps = analyze.Number(b.lastI)
	}
	b.decide(last && !c.done && float64(t.EndS) == now, b.pack)
}

// noteRest keeps what a rest would show in the end; it goes on changing a
// little while the rest lasts.
func (b *book) noteRest() {
	b.charge.SettledVolts = analyze.Number(b.pack.settled())
	b.charge.StateOfCharge = analyze.Number(min(1, b.pack.charge))
}

// decide says how the charge came out.
func (b *book) decide(running bool, p *pack) {
	t := b.charge
	nickel := b.truth.Chemistry.Nickel()
	fell := float64(t.PeakVolts) - b.lastV
	switch {
	case b.faulted && !running && !analyze.Known(t.FinishS):
		t.EndedBy = analyze.EndCurrentStopped
	case nickel && fell >= 0.003*p.cells:
		t.FinishS, t.EndedBy = analyze.Number(b.peakAt), analyze.EndVoltagePeak
	case !running && !analyze.Known(t.FinishS) && b.limited && b.lastI <= 0.1*float64(t.SetAmps):
		t.FinishS, t.EndedBy = t.EndS, analyze.EndTailCurrent
	case running && !analyze.Known(t.FinishS):
		t.EndedBy = analyze.EndLogEnded
	case !analyze.Known(t.FinishS):
		t.EndedBy = analyze.EndCurrentStopped
	}
	switch {
	case b.faulted:
		t.Outcome = analyze.Faulted
	case analyze.Known(t.FinishS):
		t.Outcome = analyze.Complete
	case b.in/3600 < 0.002*p.capacity && !analyze.Known(t.LimitS):
		t.Outcome = analyze.NoCharge
	case running:
		t.Outcome = analyze.Running
	default:
		t.Outcome = analyze.CutShort
	}
}

// close ends the night.
func (b *book) close(now float64) Truth {
	b.truth.LastS = analyze.Number(now)
	if b.charge != nil {
		b.charge.OutAh += analyze.Number(b.out / 3600)
	}
	return b.truth
}

// higher is the greater of the two, where the first may still be unknown.
func higher(a analyze.Number, b float64) analyze.Number {
	if b <= float64(a) {
		return a
	}
	return analyze.Number(b)
}
