package analyze

import "math"

// A current that is cut off is gone at once, but a meter that averages, or the charger's own capacitors, show it fade
// for some rows. They are no taper: of a battery the quickest that there is, of LiFePO4 at the steep end of its curve,
// falls to 1/e in what its resistance times its capacity is over that steepness, a tenth of an ohm-ampere-hour over 20 V
// of the whole charge: 18 s. Common practice, no source.
const (
	abruptFold  = 5   // s in which the current falls to 1/e: quicker than that no taper is
	abruptShare = 0.5 // of the current before: what is left of it in the end
	abruptMixed = 0.9 // of the current before: a bin with less is mixed of before and after
)

// steady is the bin up to which the current was not being cut off.
func (tr *trace) steady() int {
	end := len(tr.bins)
	k := end
	now, at := tr.end.i, tr.end.t // the last bin may be mixed of before and after
	for ; k > 1; k-- {
		a := &tr.bins[k-2]
		from := a.t()
		if k == end {
			from = a.t1
		}
		if now > 0 && abruptFold*math.Log(a.i()/now) < at-from {
			break
		}
		now, at = a.i(), a.t()
	}
	if k == end || k < 2 || tr.end.i > abruptShare*tr.bins[k-1].i() {
		return end
	}
	if k > 2 && tr.bins[k-1].i() < abruptMixed*tr.bins[k-2].i() {
		k--
	}
	return k
}

// reached is the highest voltage while a current flowed that was not being cut off, V.
func (tr *trace) reached() float64 {
	most := math.Inf(-1)
	for k := range tr.steady() {
		most = max(most, tr.bins[k].maxV)
	}
	return most
}
