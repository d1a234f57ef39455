package condition

import (
	"fmt"
	"math"
	"strings"
	"time"

	"amphora/analyze"
)

// Trend is one quantity over time and how it changes.
type Trend struct {
	Quantity string  `json:"quantity"`
	Name     string  `json:"name"` // in words
	Unit     string  `json:"unit"` // empty for a plain number
	Points   []Point `json:"points"`
	LeftOut  int     `json:"left_out"` // observations that could not be compared with these
	Note     string  `json:"note"`     // what was done so that like is compared with like

	Enough bool   `json:"enough"` // there are enough points for what follows, which is null otherwise
	Lack   string `json:"lack"`   // what is missing

	// First and Last are the values of a straight line on the first and the last day.
	First analyze.Number `json:"first"`
	Last  analyze.Number `json:"last"`
	// PerYear is its slope in the unit, with a 95 % interval.
	PerYear     analyze.Number `json:"per_year"`
	PerYearLow  analyze.Number `json:"per_year_low"`
	PerYearHigh analyze.Number `json:"per_year_high"`
	// Change is the change from First to Last as a share of First, with a 95 % interval. It is
	// never less than -1, and 10 stands for 10 or more.
	Change     analyze.Number `json:"change"`
	ChangeLow  analyze.Number `json:"change_low"`
	ChangeHigh analyze.Number `json:"change_high"`
	Words      string         `json:"words"`
}

// Point is one observation.
type Point struct {
	At    time.Time      `json:"at"`
	Value analyze.Number `json:"value"`
	U95   analyze.Number `json:"u95"` // of the value alone; null where nobody stated it
	// Session is the charge that showed it; null for what was noted by hand.
	Session *string `json:"session"`
}

const (
	day  = 24 * time.Hour
	year = 365.25 * 24 * 3600 // s

	leastSpan = 60 * day // fewer days say more of the weather than of the battery
)

// trend draws the line through a series.
func (s *series) trend() Trend {
	u := analyze.Number(analyze.Unknown())
	t := Trend{
		Quantity: s.quantity, Name: s.name, Unit: s.unit, Points: []Point{}, LeftOut: s.leftOut, Note: strings.Join(s.notes, "; "),
		First: u, Last: u, PerYear: u, PerYearLow: u, PerYearHigh: u, Change: u, ChangeLow: u, ChangeHigh: u,
	}
	x, y := make([]float64, len(s.points)), make([]float64, len(s.points))
	for k, p := range s.points {
		o := Point{At: p.at, Value: analyze.Number(p.value), U95: analyze.Number(p.u95)}
		if p.session != "" {
			o.Session = &p.session
		}
		t.Points = append(t.Points, o)
		x[k], y[k] = p.at.Sub(s.points[0].at).Seconds()/year, p.value
	}
	span := s.points[len(s.points)-1].at.Sub(s.points[0].at)
	l, ok := through(x, y)
	switch {
	case len(s.points) < leastPoints:
		t.Lack = fmt.Sprintf("observations so far: %d, needed: %d", len(s.points), leastPoints)
	case span < leastSpan:
		t.Lack = fmt.Sprintf("days so far: %.0f, needed: %.0f", span.Hours()/24, leastSpan.Hours()/24)
	case !ok || !(l.at(0) > 0):
		t.Lack = "they do not lie in a row"
	}
	if t.Lack != "" {
		t.Words = fmt.Sprintf("%s: not enough data (%s)", s.name, t.Lack)
		return t
	}
	t.Enough = true
	s.widen(&l, x)
	last := x[len(x)-1]
	t.First, t.Last = analyze.Number(l.at(0)), analyze.Number(l.at(last))
	t.PerYear, t.PerYearLow, t.PerYearHigh = analyze.Number(l.slope), analyze.Number(l.low), analyze.Number(l.high)
	t.Change, t.ChangeLow, t.ChangeHigh = l.share(l.slope, last), l.share(l.low, last), l.share(l.high, last)
	s.whatever(&t, x)
	if !t.tells() {
		t.First, t.Last, t.PerYear, t.PerYearLow, t.PerYearHigh, t.Change, t.ChangeLow, t.ChangeHigh = u, u, u, u, u, u, u, u
		t.Enough, t.Lack = false, "they scatter too much"
		t.Words = fmt.Sprintf("%s: cannot be told (they scatter so much that half of what it was, or twice, would fit)", s.name)
		return t
	}
	t.Words = t.words(span)
	return t
}

const (
	mostLoss = -0.5
	mostGain = 1.0
)

// tells reports whether a change is known at all: one that may be none, and as well a halving or a
// doubling, is not, and an interval that wide would say nothing but that (our choice).
func (t *Trend) tells() bool {
	return t.ChangeLow > 0 || t.ChangeHigh < 0 || t.ChangeLow > mostLoss && t.ChangeHigh < mostGain
}

// told is the trend of a quantity; nil where that is not known.
func told(trends []Trend, quantity string) *Trend {
	for k := range trends {
		if t := &trends[k]; t.Quantity == quantity && t.Enough {
			return t
		}
	}
	return nil
}

// share is a change over so many years as a share of the first value.
func (l *line) share(slope, years float64) analyze.Number {
	first := l.with(slope, 0)
	if !(first > 0) {
		return mostChange
	}
	return analyze.Number(min(max(slope*years/first, -1), mostChange))
}

// mostChange is a change that is given as so much where it is that or more; none falls by more than all.
const mostChange = 10

// whatever widens a trend to what it would be for each kind that the battery may be of: they differ in
// how much was in it at a voltage, so that for one kind a change of use looks like one of the battery.
func (s *series) whatever(t *Trend, x []float64) {
	years := x[len(x)-1]
	for _, y := range s.others {
		l, ok := through(x, y)
		if !ok || len(s.others) < 2 {
			continue
		}
		s.widen(&l, x)
		t.PerYearLow, t.PerYearHigh = min(t.PerYearLow, analyze.Number(l.low)), max(t.PerYearHigh, analyze.Number(l.high))
		t.ChangeLow, t.ChangeHigh = min(t.ChangeLow, l.share(l.low, years)), max(t.ChangeHigh, l.share(l.high, years))
	}
}

// widen adds to the slope's interval what the scatter of the points cannot show:
// that the correction for temperature is not exactly known, and that some things
// could not be made alike.
func (s *series) widen(l *line, x []float64) {
	more := s.doubt * l.at(0) / x[len(x)-1]
	if s.warmth != 0 {
		if warm, ok := through(x, s.celsius); ok {
			more = math.Hypot(more, warmthDoubt*s.warmth*warm.slope*l.y)
		}
	}
	l.low = l.slope - math.Hypot(l.slope-l.low, more)
	l.high = l.slope + math.Hypot(l.high-l.slope, more)
}

// words say the change as in "resistance up 24 % [15 to 33] in 14 months".
func (t *Trend) words(span time.Duration) string {
	way := "up"
	change, low, high := 100*float64(t.Change), 100*float64(t.ChangeLow), 100*float64(t.ChangeHigh)
	if change < 0 {
		way, change, low, high = "down", -change, -high, -low
	}
	if low <= 0 && high >= 0 {
		if math.Max(-low, high) < 1 {
			return fmt.Sprintf("%s: changed by less than 1 %% in %s", t.Name, spoken(span))
		}
		return fmt.Sprintf("%s: no clear change in %s (%s %.0f %%, anything from %s to %s %% would fit)", t.Name, spoken(span), way, change, whole(low), whole(high))
	}
	return fmt.Sprintf("%s %s %.0f %% [%s to %s] in %s", t.Name, way, change, whole(low), whole(high), spoken(span))
}

func whole(x float64) string {
	if x >= 100*mostChange {
		return fmt.Sprintf("%d or more", 100*mostChange)
	}
	return fmt.Sprintf("%.0f", math.Round(x)+0) // a zero without a sign
}

// spoken writes a long time as people say it.
func spoken(d time.Duration) string {
	days := d.Hours() / 24
	switch {
	case days < 90:
		return fmt.Sprintf("%.0f days", days)
	case days < 3*365:
		return fmt.Sprintf("%.0f months", days/30.44)
	}
	return fmt.Sprintf("%.1f years", days/365.25)
}
