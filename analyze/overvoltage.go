package analyze

import "fmt"

// tooHigh watches for a voltage that no charger should give this battery.
//
// Physics: above its limit a cell stores nothing more; the current decomposes it
// instead: lead-acid boils its water off, lithium grows hot and may burn. The
// threshold is in limits.go, for lead-acid compensated for temperature; half the
// meter's last digit is left to the meter. Noise is left to three rows in a row.
// It clears a hundredth below the limit, or when no current flows any more. A
// voltage that runs away without current is another matter: see looselead.go.
type tooHigh struct{ latch }

const overVoltsMargin = 0.01 // of the limit

func (w *tooHigh) push(r *row, b *bounds, step float64, charging bool) (changed bool) {
	limit := b.highest(r.celsius)
	if limit != limit {
		return false
	}
	return w.latch.push(charging && r.v > limit+step/2, !charging || r.v < limit*(1-overVoltsMargin), r.t)
}

func (b *bounds) highMessage(r *row, cells int) string {
	at := ""
	if b.perKelvin != 0 && Known(r.celsius) {
		at = fmt.Sprintf(" at %.0f °C", r.celsius)
	}
	of := ""
	if cells > 0 {
		of = fmt.Sprintf(" (%.3g V for each of %d cells)", r.v/float64(cells), cells)
	}
	return fmt.Sprintf("%.2f V%s, above the limit of %.2f V%s (%s): the charger's regulator fails, or it is set for another battery. Switch the charger off; then check its setting and the number of cells",
		r.v, of, b.highest(r.celsius), at, b.whyVolts())
}
