package analyze

import "fmt"

// wandering notices a voltage that goes up and down by far more than a battery's does without current: a charger that
// looks for a battery again and again, or whose output drifts about where nothing loads it. Batteries that are put on
// and taken off move it, too, but not so often, and a clamp that bounces is done within moments. Common practice, no
// source.
type wandering struct {
	high, low   float64 // V, since the last turn
	up          bool
	turns       int
	swings      float64 // the same; less for those from nothing, or to it, at once
	first, last float64 // s
}

const (
	wanderSwings = 6
	wanderOnce   = 0.2  // what a battery counts that is put on, or taken off
	wanderPause  = 1800 // s without a swing
	wanderLeast  = 120  // s, from first to last
)

// push takes a row while no charge is under way, and gives since when, s, and what is to be told. Where a current flows
// the voltage may move.
func (w *wandering) push(r *row, flows bool, patience float64) (since float64, message string) {
	if flows || w.turns > 0 && r.t-w.last > wanderPause {
		*w = wandering{}
	}
	if w.turns == 0 && w.high == 0 {
		w.high, w.low = r.v, r.v
	}
	w.high, w.low = larger(w.high, r.v), smaller(w.low, r.v)
	far := looseJump * w.high
	switch {
	case w.high < looseLeast: // hum, or the meter's last digits
	case r.v > w.low+far && !(w.turns > 0 && w.up):
		w.turn(r, w.low < looseGone*r.v)
	case r.v < w.high-far && (w.turns == 0 || w.up):
		w.turn(r, r.v < looseGone*w.high)
	}
	if w.swings < patience*wanderSwings || w.last-w.first < wanderLeast {
		return 0, ""
	}
	return w.first, fmt.Sprintf("no current, and the voltage goes up and down, %d times so far, now %.2f V, as no battery's does: the charger is on, and nothing hangs on it",
		w.turns, r.v) + lookAtTheClamps
}

// turn counts a swing.
func (w *wandering) turn(r *row, atOnce bool) {
	if w.turns == 0 {
		w.first = r.t
	}
	w.up = r.v > w.low // it is the highest or the lowest since the turn before
	w.turns, w.last, w.high, w.low = w.turns+1, r.t, r.v, r.v
	if atOnce {
		w.swings += wanderOnce
	} else {
		w.swings++
	}
}
