package plan

import (
	"fmt"

	"amphora/analyze"
)

// likely is what the batteries that people charge at home have on their labels. All of
// these limits are our choice, without a source: the smallest are button cells and
// alarm batteries, the largest banks of a boat or a house. What lies beyond is planned
// for all the same, and doubted.
var (
	likelyReserve   = bounds{10 * minute, 1000 * minute}
	likelyRatedTime = bounds{6 * minute, 250 * hour}
	likelyLead      = bounds{0.5 * ampereHour, 1000 * ampereHour}
	likelyIron      = bounds{0.1 * ampereHour, 1000 * ampereHour}
	// A bare 2000 or 850 on a small cell is milliampere-hours.
	likelyLiIon  = bounds{0.02 * ampereHour, 300 * ampereHour}
	likelyNickel = bounds{0.02 * ampereHour, 100 * ampereHour}
)

func likelyCapacity(c analyze.Chemistry) bounds {
	switch {
	case c.Lead():
		return likelyLead
	case c.Nickel():
		return likelyNickel
	case c == analyze.LiIon:
		return likelyLiIon
	}
	return likelyIron
}

// unlikely says which figures of a label hardly any battery has.
func unlikely(in Input) []string {
	var told []string
	doubt := func(value float64, likely bounds, of float64, unit, what, hint string) {
		if analyze.Known(value) && (value < likely.Low || value > likely.High) {
			told = append(told, fmt.Sprintf("%.10g %s is doubted: labels of %s batteries have %s of %.3g to %.4g %s (our choice of limits). %s; if it is right, go by the battery maker's figures",
				value/of, unit, in.Chemistry, what, likely.Low/of, likely.High/of, unit, hint))
		}
	}
	doubt(in.Reserve, likelyReserve, minute, "min", "reserve capacities", "Look at the number and its unit: reserve minutes stand behind RC")
	doubt(in.Capacity, likelyCapacity(in.Chemistry), ampereHour, "Ah", "capacities", "Look at the number and its unit: small cells are labelled in mAh, packs in Wh")
	doubt(in.RatedTime, likelyRatedTime, hour, "h", "rated times", "Look at the number and its unit: C20 or 20HR is 20 h")
	return told
}
