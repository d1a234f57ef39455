package analyze

// pushedShare of the highest current is nearly all of it. Common practice, no source.
const pushedShare = 0.9

// pushedBack reports whether the voltage stands higher now than when nearly all the current,
// of so many amperes at the most, last flowed. Then the battery has filled since and pushes
// back: an unregulated source, as a plain transformer's, gives it less and less. A charger
// that throttles, and a load beside the battery, take the voltage down with the current.
func (tr *trace) pushedBack(now *block, most float64, volts *meter) bool {
	k := len(tr.bins) - 1
	for k >= 0 && tr.bins[k].i() < pushedShare*most {
		k--
	}
	return k >= 0 && now.v > tr.bins[k].v()+max(heldSlack*now.v, 3*volts.noise(), 1.5*volts.step())
}
