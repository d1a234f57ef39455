package analyze

// Some chargers go on to hold a battery with less current than the meter shows: a
// float of a few milliamperes. It rests only from when they let go. A rest slows down:
// whatever has still to settle does so the slower the longer it has settled already
// (a sum of decays, each of them convex). So it never falls further from one row to the
// next than it did in the whole half of its time before; where it does, it was held
// until then. Noise and flicker are left to a slack and to a second row.

const (
	restHeldLeast = 60  // s, of which enough is known by then
	restHeldPace  = 4   // times: so much longer than a row's interval was that half at least, twice over
	restLeftMost  = 0.2 // of the voltage: what falls further was taken off

	restStoodLeast = 600 // s
	restStoodRows  = 4   // of a mean
)

// restSlack is what a voltage at rest may seem to fall by from one row to the next, V.
func restSlack(volts *meter, v float64) float64 {
	return larger(heldSlack*v, larger(looseScatter*volts.noise(), 1.5*volts.step()))
}

// heed looks at a row before it is added: whether it shows that the rest begins only now.
func (r *rest) heed(m *row, slack float64) {
	edge := r.edge
	r.edge = row{}
	switch {
	case edge.t > 0 && edge.v-m.v > slack:
		kept := edge // a copy of its own, so that only then one is allocated
		r.anew(&kept)
	case r.last-m.v > slack && r.last-m.v < restLeftMost*r.last && r.tooSteep(m, slack):
		r.edge = row{t: r.to, v: r.last}
	}
}

// tooSteep reports whether no rest falls so far in so short a time.
func (r *rest) tooSteep(m *row, slack float64) bool {
	rested := r.to - r.from
	if rested < restHeldLeast || m.t-r.to > rested/restHeldPace {
		return false
	}
	for k := r.n - 1; k >= 0; k-- {
		if b := &r.bins[k]; b.t/b.rows <= rested/2 {
			return r.last-m.v > b.v/b.rows-r.last+slack
		}
	}
	return false
}

// anew begins a rest at the last row before a fall.
func (r *rest) anew(edge *row) {
	r.let = edge
	clear(r.bins[:r.n])
	r.n, r.until = 0, 0
}

// letGo looks at the stretch of a rest that ends now: a small battery sinks over minutes once it is let go of, from row to row by no
// more than a rest may. What has sunk so far further than in the half of the time before stood until then, and rests since. It
// is known within that stretch, a tenth of the time.
func (r *rest) letGo() {
	k := r.n - 1
	if k < 1 || r.bins[k].rows < restStoodRows || r.bins[k-1].rows < restStoodRows {
		return
	}
	t, stood := r.bins[k-1].mean()
	now, volts := r.bins[k].mean()
	if t < restStoodLeast || now-t > t/restHeldPace || stood-volts > restLeftMost*stood {
		return
	}
	for j := k - 2; j >= 0; j-- {
		if half, before := r.bins[j].mean(); half <= t/2 {
			if stood-volts > max(before-stood, 0)+heldSlack*stood {
				r.anew(&row{t: r.from + r.until/restBinRatio, v: stood})
			}
			return
		}
	}
}

// mean is when, s since the rest began, and the voltage, V.
func (b *restBin) mean() (t, v float64) { return b.t / b.rows, b.v / b.rows }
