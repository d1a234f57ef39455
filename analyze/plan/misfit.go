package plan

import (
	"fmt"
	"math"
)

// Beyond these exponents the two ratings of a label are no pair. No published one of a
// lead-acid battery is below 1.05 (AGM), and 1 is what comes out where the ampere-hours
// were worked out from the minutes: the lower limit lies between, our choice, since
// labels are rounded. The upper is that of a worn traction battery.
const (
	leastExponent = 1.03
	mostExponent  = 1.6
)

// misfit says what is to be doubted where capacity and reserve minutes are no pair that
// one battery has, or nothing. k is the exponent that they would mean.
func misfit(in Input, k float64) string {
	ah, minutes := in.Capacity/ampereHour, in.Reserve/minute
	if in.RatedTime < 1.5*in.Reserve && math.Abs(math.Log(in.Capacity/reserveCharge(in.Reserve))) < 0.1 {
		return "" // rated at nearly 25 A: the two say the same, and no exponent
	}
	switch {
	case same(ah, minutes):
		return fmt.Sprintf("%.4g Ah and %.4g reserve minutes are one number: reserve minutes are no ampere-hours (%.4g min at 25 A are %.3g Ah), so one of the two was taken for the other; look at the label for which it says, and leave the other out",
			ah, minutes, minutes, reserveCharge(in.Reserve)/ampereHour)
	case same(in.Capacity, reserveCharge(in.Reserve)):
		return fmt.Sprintf("%.4g Ah is just what %.4g reserve minutes at 25 A come to, and no lead-acid battery gives as much at 25 A as over %.3g h: the ampere-hours are doubted; %s. Look at the label for them, and leave them out if they were worked out from the minutes",
			ah, minutes, in.RatedTime/hour, usualPair(in))
	case k < leastExponent:
		return fmt.Sprintf("capacity and reserve minutes do not fit together (a Peukert exponent of %.3g): that is as much at 25 A as over %.3g h, or more; too few ampere-hours or too many minutes were read, and %s. Look at the label again", k, in.RatedTime/hour, usualPair(in))
	case k > mostExponent:
		return fmt.Sprintf("capacity and reserve minutes do not fit together (a Peukert exponent of %.3g): too many ampere-hours or too few minutes were read, and %s. Look at the label again", k, usualPair(in))
	}
	return ""
}

// same allows for what rounding does to a label.
func same(a, b float64) bool { return math.Abs(a-b) <= 0.015*b }

// usualPair says what would go with each of the two ratings.
func usualPair(in Input) string {
	k := peukertRange(in.Chemistry)
	minutes := func(k float64) float64 {
		overTwenty := capacityAtHours(in.Capacity, in.RatedTime, twentyHours, k)
		return twentyHours * math.Pow(overTwenty/(reserveAmps*twentyHours), k) / minute
	}
	_, span := twentyHourFromReserve(in.Reserve, in.Chemistry)
	return fmt.Sprintf("a %s battery of %.4g Ah usually has %.0f to %.0f min, one of %.4g min %.0f to %.0f Ah over 20 h",
		in.Chemistry, in.Capacity/ampereHour, minutes(k.High), minutes(k.Low), in.Reserve/minute, span.Low/ampereHour, span.High/ampereHour)
}
