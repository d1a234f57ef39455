package report

import (
	"fmt"
	"math"

	"amphora/analyze"
)

// foretoldLine is a forecast held against what came.
type foretoldLine struct {
	Share           string // of the charge that had passed
	Asked, Forecast string
	Came, Off       string
	Inside          string
	Ah              string
}

// againstWhatCame picks the forecasts at some parts of the charge.
func againstWhatCame(t *Track, s *analyze.Session) (list []foretoldLine) {
	if t == nil || !analyze.Known(s.FinishS) {
		return nil
	}
	start, finish := float64(s.StartS), float64(s.FinishS)
	for _, share := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
		aim := start + share*(finish-start)
		var near *foretold
		for k := range t.foretold {
			f := &t.foretold[k]
			if f.at > start && f.at < finish && (near == nil || math.Abs(f.at-aim) < math.Abs(near.at-aim)) {
				near = f
			}
		}
		if near == nil || math.Abs(near.at-aim) > 0.1*(finish-start) || !analyze.Known(near.FinishS) {
			continue
		}
		off, u := finish-float64(near.FinishS), float64(near.FinishSU95)
		way := "later"
		if off < 0 {
			way = "earlier"
		}
		line := foretoldLine{
			Share: fmt.Sprintf("%.0f %%", 100*(near.at-start)/(finish-start)), Asked: analyze.Clock(near.at),
			Forecast: analyze.Clock(float64(near.FinishS)) + " ± " + analyze.Clock(u), Came: analyze.Clock(finish),
			Off: analyze.Clock(math.Abs(off)) + " " + way, Inside: "inside", Ah: number(near.ChargeInAh, "%.3g Ah"),
		}
		if math.Abs(off) > u {
			line.Inside = "outside"
		}
		list = append(list, line)
	}
	return list
}
