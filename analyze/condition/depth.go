package condition

import (
	"fmt"
	"time"

	"amphora/analyze"
)

// Depth is how much of the rating had been taken out before a charge, as a
// share, from what the charge put back.
type Depth struct {
	Session string         `json:"session"`
	At      time.Time      `json:"at"`
	Depth   analyze.Number `json:"depth"`
	Low     analyze.Number `json:"low"` // what the charge factor's range and the charge's own uncertainty leave open
	High    analyze.Number `json:"high"`
	Words   string         `json:"words"`
}

// depths are those of all complete charges, where chemistry and rating are known.
func (h *history) depths() []Depth {
	list := []Depth{}
	factor, ok := analyze.ChargeFactorOf(h.battery.Chemistry)
	if !ok || h.battery.Rated <= 0 {
		return list
	}
	rated := h.battery.Rated / 3600
	for _, s := range h.complete() {
		in, u := taken(s), float64(s.ChargeInAhU95)
		if !analyze.Known(in) {
			continue
		}
		if !analyze.Known(u) {
			u = 0
		}
		d := Depth{
			Session: s.ID, At: *s.Started,
			Depth: analyze.Number(analyze.DepthOfDischarge(in, rated, factor.Stated)),
			Low:   analyze.Number(analyze.DepthOfDischarge(max(in-u, 0), rated, factor.High)),
			High:  analyze.Number(analyze.DepthOfDischarge(in+u, rated, factor.Low)),
		}
		d.Words = fmt.Sprintf("%.3g Ah in, over a charge factor of %.2f, are %.3g Ah or %.0f %% (%.0f to %.0f) of the %s",
			in, factor.Stated, in/factor.Stated, 100*d.Depth, 100*d.Low, 100*d.High, h.battery.rating())
		list = append(list, d)
	}
	return list
}

// rating says the capacity with the time that it is rated over, since a battery
// gives less the faster it is emptied.
func (b *Battery) rating() string {
	if b.RatedHours > 0 {
		return fmt.Sprintf("rated %.4g Ah (over %.3g h)", b.Rated/3600, b.RatedHours)
	}
	return fmt.Sprintf("rated %.4g Ah (over an unknown time; faster use gives less)", b.Rated/3600)
}
