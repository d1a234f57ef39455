package analyze

import "slices"

// Nobody has said what the battery is, and its curve has not yet. Still there is a voltage that no
// charger should give it: at half of what has gone in, any kind stands at some voltage a cell, which
// leaves so many cells at the most, and those have a limit. Lead-acid comes in the usual packs,
// lithium in any; nickel climbs from there by less than a fifth (peak.go). The laxest of them all
// stands, lead-acid's as in the cold. Common practice, no source.
const (
	anyKindSeconds = 3600 // s of the current that it is charged with; before that the voltage tells little
	anyKindOfMost  = 0.5  // of the highest current: less, at first, wakes a battery that was emptied too far
	anyKindNickel  = 1.2  // times the voltage at half of what has gone in
	leadShorted    = 6    // cells of the least battery of lead-acid of which one may be shorted: smaller ones are rare
)

// boundUnnamed limits the voltage of a charge of a battery of which nothing is known. A limit that
// has been passed stands as it is.
func (m *Machine) boundUnnamed(s *sight) {
	c := s.c
	b := &c.bounds
	if b.of.chemistry != "" || len(b.of.may) > 0 || m.opt.Limits.Volts != 0 || c.alert || c.tooHigh.on {
		return
	}
	b.volts, b.leastVolts = Unknown(), Unknown()
	tr := &c.trace
	from := 0
	for from < s.end && tr.bins[from].i() < anyKindOfMost*c.most {
		from++
	}
	if from == s.end || s.now-tr.bins[from].t0 < anyKindSeconds {
		return
	}
	v := tr.bins[tr.indexIn((tr.bins[from].at.in+tr.bins[s.end].at.in)/2)].v()
	if !(v > 0) {
		return // the leads are reversed
	}
	b.volts = mostOfAny(v, m.opt.Cells)
	b.leastVolts, b.perKelvin, b.halfWay = b.volts, 0, v
}

// mostOfAny is the highest voltage that a battery is charged to, of any kind, that stood at some
// volts half-way; cells is their number, 0 unknown.
func mostOfAny(volts float64, cells int) (most float64) {
	most = anyKindNickel * volts
	for _, chemistry := range []Chemistry{LeadAGM, LiFePO4, LiIon} {
		cell := onChargeOf(chemistry)
		highest := cell.most
		if chemistry.Lead() {
			highest += leadPerKelvin * (compensateFrom - leadReference)
		}
		for n := mostCells(chemistry, volts/cell.least); n > 0; n-- {
			if volts > highest*float64(n) {
				break
			}
			if usual := !chemistry.Lead() || slices.Contains(cell.packs, n); usual && (cells == 0 || cells == n) {
				most = max(most, highest*float64(n))
				break
			}
		}
	}
	return most
}

// mostCells is how many cells of a kind there are at the most, where so many stand at a voltage: one more may be shorted in
// a battery of lead-acid, whose charger is none the wiser.
func mostCells(c Chemistry, standing float64) int {
	n := int(standing)
	if c.Lead() && n+1 >= leadShorted {
		n++
	}
	return n
}
