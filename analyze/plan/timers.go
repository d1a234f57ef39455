package plan

import (
	"fmt"
	"math"

	"amphora/analyze"
)

// usualTimer is the time in s after which many chargers end by default (common
// practice, no source).
const usualTimer = 2 * hour

// timerFor is what to set a charger's safety timer to, in s: the longest time the
// plan can explain, up to the next whole hour.
func timerFor(hours bounds) float64 { return hour * math.Ceil(round9(hours.High/hour)) }

// cutOffFor is what to set a charger's capacity cut-off to, in C: the most the
// plan can explain, up to the next whole ampere-hour, or where that would be
// coarse, below 10 Ah, up to two digits.
func cutOffFor(toReturn bounds) float64 {
	step := min(1, math.Pow(10, math.Floor(math.Log10(toReturn.High/ampereHour))-1)) * ampereHour
	return step * math.Ceil(round9(toReturn.High/step))
}

// roundAmpereHours shows what cutOffFor gave with the digits that it was rounded to.
func roundAmpereHours(c float64) analyze.Number { return analyze.Number(round9(c / ampereHour)) }

// round9 drops the last bits of the arithmetic, so that 20 h computed as
// 20.000000000000004 stays 20.
func round9(x float64) float64 { return math.Round(x*1e9) / 1e9 }

// timerWarning tells when a charger would end before the plan does. own is its
// stated timer in s, unknown if nobody said.
func timerWarning(hours bounds, own float64) string {
	stated := "many chargers end after 2 h by default"
	limit := usualTimer
	if analyze.Known(own) {
		stated = "the charger's own timer of " + spokenTimer(own)
		limit = own
	}
	if limit >= hours.High {
		return ""
	}
	advice := fmt.Sprintf("set it to %g h, or switch it off and let the current, amphora's limits and a person watch", timerFor(hours)/hour)
	if !analyze.Known(own) {
		return fmt.Sprintf("%s, and this charge may take %s: look for the safety timer; %s", stated, spokenHours(hours), advice)
	}
	return fmt.Sprintf("%s ends before the charge, which may take %s: %s", stated, spokenHours(hours), advice)
}

func spokenTimer(seconds float64) string {
	if seconds < hour {
		return fmt.Sprintf("%.3g min", seconds/60)
	}
	return fmt.Sprintf("%.3g h", seconds/hour)
}

// spokenHours words a time range; whole hours are all one can promise in a
// long one.
func spokenHours(r bounds) string {
	step := hour
	if r.High < 5*hour {
		step = hour / 4
	}
	up := func(x float64) float64 { return math.Ceil(round9(x/step)) * step / hour }
	if up(r.Low) == up(r.High) {
		return fmt.Sprintf("about %g h", up(r.High))
	}
	return fmt.Sprintf("%g to %g h", up(r.Low), up(r.High))
}
