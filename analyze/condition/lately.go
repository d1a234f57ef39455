package condition

import (
	"fmt"
	"math"
	"slices"
)

const (
	lateOnes      = 4 // the last few observations, of which one may be odd
	leastEarlier  = 8 // observations that tell how it was, from the first two thirds
	leastWarmCold = 300 * day
	// A battery that is 20 K colder gives about so much less (common practice, no source): what the
	// seasons may make where the earlier observations do not go round the year.
	coldShare = 0.12
)

// turn is how the last few observations stand against the earlier ones, as a share of those.
type turn struct {
	change float64 // of the medians
	least  float64 // the mildest that three of the last four allow; no change where its sign is another
}

// lately compares the last few observations with those of the first two thirds, since a battery that goes
// at the end, as most do, bends a straight line through all its life only when it has gone. The way is +1
// where a rise is bad, and -1 where a fall is. Three of the last four must lie beyond what the earlier
// ones scatter by (two standard deviations, unlessened by their number, since all of the last may be of
// one season), beyond all but one of the earlier ones themselves, and beyond what could not be made
// alike: one bad night is none of the battery's, and two may not be.
func (s *series) lately(way float64) (worst turn, ok bool) {
	n := len(s.points)
	earlier := 2 * n / 3
	if earlier < leastEarlier || n-earlier < lateOnes {
		return worst, false
	}
	doubt := s.doubt
	if span := s.points[earlier-1].at.Sub(s.points[0].at); span < leastSpan {
		return worst, false
	} else if span < leastWarmCold {
		doubt = math.Hypot(doubt, coldShare)
	}
	values := make([]float64, n)
	for k, p := range s.points {
		values[k] = p.value
	}
	worst = turned(values, earlier, way, doubt)
	for _, y := range s.others {
		if t := turned(y, earlier, way, doubt); way*t.least < way*worst.least {
			worst.least = t.least
		}
	}
	return worst, true
}

// turned is how the last of some values stand against as many earlier ones.
func turned(y []float64, earlier int, way, doubt float64) turn {
	usual := median(y[:earlier])
	worse := make([]float64, len(y)) // as a share of what was usual, positive where it is bad
	for k := range y {
		worse[k] = way * (y[k]/usual - 1)
	}
	before, late := slices.Sorted(slices.Values(worse[:earlier])), slices.Sorted(slices.Values(worse[len(y)-lateOnes:]))
	off := make([]float64, earlier)
	for k := range before {
		off[k] = math.Abs(before[k])
	}
	const deviation = 1.4826 // standard deviations in a median deviation, of a normal distribution
	mildest := late[1]
	t := turn{change: way * middle(late), least: way * (mildest - math.Hypot(2*deviation*median(off), doubt))}
	if mildest <= before[len(before)-2] {
		t.least = -way * math.Abs(t.least)
	}
	return t
}

// lateEvidence speaks where a battery has become worse lately, more than it is unsure: by its capacity, or by
// the resistance that is followed. It has none replaced: what came in a few nights may go again.
func (h *history) lateEvidence(list []*series, trends []Trend) (found []Evidence) {
	resistance := resistanceTrend(trends)
	for _, s := range list {
		way, from, near, source := -1.0, ageingFade, nearFade, capacitySource
		switch {
		case resistance != nil && s.quantity == resistance.Quantity && s.quantity != ResistanceByHand:
			way, from, near, source = 1, ageingRise, nearRise, h.riseSource()
		case s.quantity != CapacityByCharge:
			continue
		}
		t, ok := s.lately(way)
		e := Evidence{Quantity: s.quantity, Source: source}
		switch change, least := way*t.change, way*t.least; {
		case !ok:
			continue
		case least > 0 && change >= near && (way < 0 || h.battery.Chemistry.Lead()):
			e.State = NearReplacement
		case least > from/2 && change >= from:
			e.State = Ageing
		default:
			continue
		}
		direction := "up"
		if way < 0 {
			direction = "down"
		}
		e.Text = fmt.Sprintf("%s %s %.0f %% lately (%.0f %% at least): the last %d observations against the first %d of %d",
			s.name, direction, 100*math.Abs(t.change), 100*math.Abs(t.least), lateOnes, 2*len(s.points)/3, len(s.points))
		found = append(found, e)
	}
	return found
}

// late is what the headline adds where it rests on the last few observations alone.
const late = " It shows in the last few charges."
