package analyze

import "fmt"

// thermometer watches the battery's temperature on charge.
//
// Physics: heat ages every battery and feeds the reactions that made it; a hot
// lead-acid battery gasses more at the same voltage, a hot lithium one may burn.
// Below freezing lithium plates out as metal instead of going into the graphite,
// for good, and a flat lead-acid battery may be a block of ice that bursts. The
// thresholds are those of limits.go; each clears two degrees back from it, which
// is more than a thermometer's last digit. Cold is a hazard only while current flows.
type thermometer struct {
	hot, cold latch
}

const thermalMargin = 2.0 // K

// push takes a row; charging tells whether current flows. It names the finding
// that changed, or "".
func (w *thermometer) push(r *row, b *bounds, charging bool) (code string) {
	t := r.celsius
	if t != t {
		return ""
	}
	if w.hot.push(t > b.hottest, t < b.hottest-thermalMargin, r.t) {
		return CodeOverTemperature
	}
	if w.cold.push(charging && t < b.coldest, !charging || t > b.coldest+thermalMargin, r.t) {
		return CodeUnderTemperature
	}
	return ""
}

func (b *bounds) hotMessage(celsius float64) string {
	return fmt.Sprintf("the battery is at %.1f °C, above %.3g °C (%s): too much current for it, gassing, a failing cell, or a warm place. "+
		"Switch the charger off and let it cool before looking closer; do not touch a swollen or hissing battery", celsius, b.hottest, b.hotWhy)
}

func (b *bounds) coldMessage(celsius float64) string {
	harm := "lithium is damaged for good by this, and frozen lead-acid may burst"
	switch c := b.of.chemistry; {
	case c.Lithium():
		harm = "lithium cells are damaged for good by this, and may short later"
	case c.Lead():
		harm = "its acid may be frozen, and a frozen battery may burst"
	}
	return fmt.Sprintf("charging at %.1f °C, below %.3g °C (%s): %s. Switch the charger off and warm the battery first", celsius, b.coldest, b.coldWhy, harm)
}
