package analyze

import "math"

// Where bytes of a stream get lost, the halves of two lines may join into one that looks
// right: 3.40 A and 3.39 A become 33.39 A, or 340 A. In steady current such a row stands
// out from those on both sides, and would be counted as charge for two intervals. No
// source of a charge brings so much more for one row only, unless it pulses, and then
// it does so again, as high. The figures are our own.
const (
	aloneTimes = 5   // the others, at least, or all that two rows in a row have had
	aloneNear  = 0.1 // how far these may be from each other, as a share
	aloneAgain = 0.2 // how far two pulses may be from each other, as a share
	aloneLeast = 0.5 // A of these: near a meter's zero noise stands out as well

	// Nor does a battery's voltage leap for one row while its current stays, let alone to
	// many times as much while current flows.
	aloneVolts = 0.1  // beyond the others, as a share, at least
	alikeVolts = 0.02 // how far these may be from each other, as a share
	farVolts   = 2    // times the others, or a part of them
	stillAmps  = 0.02 // by so much a current may differ that stays near nothing

	// And a current of hundreds of amperes moves the voltage of any battery: the largest
	// cells have 0.2 milliohms or so, from memory, to which come leads and clamps.
	leastOhms  = 1e-4
	stillVolts = 0.02 // by so much it may move anyhow
	aloneMost  = stillVolts / leastOhms

	// Leads may be moved, but nobody has a battery off and on again, as it was, within so short a time, s.
	blinkFor = 30
)

// repeated learns from the newest row what current more than one row has had.
func (w *window) repeated() {
	if w.n > 1 {
		w.twice = larger(w.twice, smaller(math.Abs(w.rows[w.n-2].i), math.Abs(w.rows[w.n-1].i)))
	}
}

// alone tells whether the row before the newest is such a one.
func (w *window) alone() bool {
	if w.n-w.done < 3 || w.n < 4 {
		return false
	}
	rows := w.rows[w.n-4 : w.n]
	if w.voltsAlone(rows) {
		return true
	}
	if !(math.Abs(rows[2].i) > aloneTimes*larger(math.Abs(rows[1].i), math.Abs(rows[3].i))) {
		return false
	}
	if unmoved(rows) {
		return true
	}
	least := smaller(smaller(rows[0].i, rows[1].i), rows[3].i)
	most := larger(larger(rows[0].i, rows[1].i), rows[3].i)
	if most < 0 { // out of the battery
		least, most = -most, -least
	}
	beyond := w.twice > aloneLeast && rows[2].i > aloneTimes*w.twice && still(rows)
	if !beyond && !(least > aloneLeast && most-least <= aloneNear*most) {
		return false
	}
	again := math.Abs(rows[2].i-w.stoodOut) <= aloneAgain*math.Abs(rows[2].i)
	w.stoodOut = rows[2].i
	return !again
}

// voltsAlone tells the same of the voltage. Where next to nothing is on the leads a charger may look for a battery, again
// and again, for a row each time.
func (w *window) voltsAlone(rows []row) bool {
	v := rows[2].v
	least := smaller(smaller(rows[0].v, rows[1].v), rows[3].v)
	most := larger(larger(rows[0].v, rows[1].v), rows[3].v)
	if w.blinked(rows, least, most) {
		return true
	}
	i := math.Abs(rows[2].i)
	before, after := math.Abs(rows[1].i-rows[2].i), math.Abs(rows[3].i-rows[2].i)
	if v > farVolts*most && least > 0 && smaller(before, after) <= stillAmps {
		again := most < looseLeast && math.Abs(v-w.leapt) <= alikeVolts*v
		w.leapt = v
		return !again
	}
	if !(least > 0 && i > 0) {
		return false // without current leads may be moved
	}
	asBefore, asAfter := before <= aloneNear*i, after <= aloneNear*i
	if v > farVolts*most || v < least/farVolts {
		return asBefore || asAfter
	}
	return most-least <= alikeVolts*most && (v < least*(1-aloneVolts) || v > most*(1+aloneVolts)) && asBefore && asAfter
}

// blinked tells whether voltage and current are gone for one row and back as they were in the next: a zero among good
// rows.
func (w *window) blinked(rows []row, least, most float64) bool {
	before, now, after := math.Abs(rows[1].i), math.Abs(rows[2].i), math.Abs(rows[3].i)
	none := larger(stillAmps, noiseShare*w.twice)
	return rows[2].v < least/farVolts && most-least <= alikeVolts*most && now <= none && rows[3].t-rows[1].t <= blinkFor &&
		math.Abs(rows[1].i-rows[3].i) <= larger(2*none, aloneNear*larger(before, after))
}

// unmoved tells whether the voltage stands where so much current must move it. Where it
// comes from another meter it may be of another moment.
func unmoved(rows []row) bool {
	a, b, c := &rows[1], &rows[2], &rows[3]
	leap := smaller(math.Abs(b.i-a.i), math.Abs(b.i-c.i))
	moved := larger(math.Abs(b.v-a.v), math.Abs(b.v-c.v))
	return b.skew == 0 && leap*leastOhms > moved+stillVolts
}

// still tells whether the voltage does not move with the current.
func still(rows []row) bool {
	return math.Abs(rows[2].v-rows[1].v) <= stillVolts && math.Abs(rows[2].v-rows[3].v) <= stillVolts
}

// dropAlone takes it out again.
func (w *window) dropAlone() {
	w.rows[w.n-2] = w.rows[w.n-1]
	w.n--
}
