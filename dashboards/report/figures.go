package report

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"math"
	"time"

	"amphora/analyze"
	"amphora/analyze/condition"
	"amphora/dashboards/curve"
	"amphora/dashboards/plot"
)

// picture is the curve with its stages as an address that holds it, so that no
// text of it can be anything but a picture.
func picture(title string, t *Track, sessions []analyze.Session) (template.URL, error) {
	var b bytes.Buffer
	if err := plot.Draw(&b, "svg", title, &t.curve, sessions); err != nil {
		return "", err
	}
	return template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(b.Bytes())), nil
}

const mostSpots = 300

// volts are spots of the voltage, counted from a time, in units of so many seconds.
func volts(points []curve.Point, from, unit float64) []spot {
	var list []spot
	for _, p := range curve.Downsample(points, mostSpots) {
		if analyze.Known(p.Volts) {
			list = append(list, spot{(p.At - from) / unit, p.Volts})
		}
	}
	return list
}

// restChart draws the rest after a charge and where it is going.
func restChart(t *Track, s *analyze.Session) *chart {
	r := s.Rest
	if t == nil || r == nil || !(r.DurationS > 0) {
		return nil
	}
	from := t.restBegan(s)
	points := t.between(from, from+float64(r.DurationS))
	if len(points) < 2 || math.Abs(points[len(points)-1].Volts-float64(r.LastV)) > 1e-6 {
		return nil // it is another rest than can be found again
	}
	under, points := points[0].Volts, points[1:]
	c := &chart{
		about: "The voltage while the battery rests, and the voltage at which it will settle",
		x:     "hours since the current stopped", y: "V",
		lines: []stroke{{"curve", volts(points, from, 3600)}},
	}
	if !analyze.Known(r.SettledV) {
		return c
	}
	v, u := float64(r.SettledV), float64(r.SettledVU95)
	c.fit(points, from, under, float64(r.DurationS))
	// The curve comes from the one side: the words stand on the other.
	c.words = []label{{spot{2 * float64(r.DurationS) / 3600, v}, fmt.Sprintf("settles at %.2f ± %.2g V", v, u), float64(r.LastV) > v}}
	c.lines = append(c.lines, stroke{"aim", []spot{{0, v}, {2 * float64(r.DurationS) / 3600, v}}})
	return c
}

// restBegan is when the rest that was fitted began: with the stage of that length,
// or, after a load, of which no stage tells, so long before the log's end.
func (t *Track) restBegan(s *analyze.Session) float64 {
	for _, g := range s.Stages {
		if g.Stage == analyze.Rest && math.Abs(float64(g.EndS-g.StartS-s.Rest.DurationS)) < 1 {
			return float64(g.StartS)
		}
	}
	return t.last - float64(s.Rest.DurationS)
}

// fit draws what the fit says of the rest so far, and of as long a time again.
func (c *chart) fit(points []curve.Point, from, under, lasted float64) {
	const moments = 24
	var rows []analyze.RestRow
	for _, p := range points {
		if analyze.Known(p.Volts) {
			rows = append(rows, analyze.RestRow{At: p.At - from, Volts: p.Volts})
		}
	}
	var at []float64
	for k := range moments {
		at = append(at, 2*lasted*float64(k+1)/moments)
	}
	var line, above, low []spot
	for _, f := range analyze.RestCurve(rows, under, at) {
		line = append(line, spot{f.At / 3600, f.Volts})
		above = append(above, spot{f.At / 3600, f.Volts + f.U95})
		low = append(low, spot{f.At / 3600, f.Volts - f.U95})
	}
	c.bands = []band{{"band", above, low}}
	c.lines = append(c.lines, stroke{"fit", line})
}

const (
	stepSeconds = 60  // shown on either side of a step, at least
	stepSpots   = 8   // so many rows too,
	stepMost    = 900 // s, if they are no farther than this
)

// stepChart draws the step of current from which the resistance is known best.
func stepChart(t *Track, s *analyze.Session) *chart {
	r, ok := surestOf(s.Resistance)
	if t == nil || !ok {
		return nil
	}
	at := float64(r.AtS)
	wide := float64(stepSeconds)
	points := t.between(at-wide, at+wide)
	for len(points) < stepSpots && wide < stepMost {
		wide *= 2
		points = t.between(at-wide, at+wide)
	}
	var before []curve.Point
	for _, p := range points {
		if p.At <= at && analyze.Known(p.Volts) {
			before = append(before, p)
		}
	}
	if len(before) == 0 || len(points) < 4 {
		return nil
	}
	// The level just before; how the method leads it to the step is in words.
	first, level := before[0].At-at, before[len(before)-1].Volts
	after := level + float64(r.Ohm*(r.ToA-r.FromA))
	c := &chart{
		about: "The voltage around the step of current that shows the resistance best",
		x:     "seconds from the step", y: "V",
		lines: []stroke{{"fit", []spot{{first, level}, {0, level}, {0, after}, {wide / 3, after}}}},
		words: []label{{spot{wide / 20, (level + after) / 2}, fmt.Sprintf("%.3g A x %.3g mohm = %.3g V", math.Abs(float64(r.ToA-r.FromA)), 1000*float64(r.Ohm), math.Abs(after-level)), false}},
	}
	c.dots = volts(points, at, 1)
	return c
}

// surestOf is the resistance with the least uncertainty.
func surestOf(all []analyze.Resistance) (r analyze.Resistance, ok bool) {
	for _, x := range all {
		if analyze.Known(x.Ohm) && (!ok || x.OhmU95 < r.OhmU95) {
			r, ok = x, true
		}
	}
	return r, ok
}

// trendChart draws a trend with its line and what the line's interval leaves open.
func trendChart(t *condition.Trend) *chart {
	if len(t.Points) < 2 {
		return nil
	}
	day := func(at time.Time) float64 { return float64(at.Unix()) / 86400 }
	c := &chart{about: t.Name + " over time", y: t.Unit, texts: dates}
	if c.y == "" {
		c.y = "ratio"
	}
	for _, p := range t.Points {
		c.dots = append(c.dots, spot{day(p.At), float64(p.Value)})
	}
	if !t.Enough {
		return c
	}
	a, b := day(t.Points[0].At), day(t.Points[len(t.Points)-1].At)
	first, last := float64(t.First), float64(t.Last)
	half, years := (first+last)/2, (b-a)/365.25/2
	edge := func(perYear analyze.Number) (from, to float64) {
		return half - float64(perYear)*years, half + float64(perYear)*years
	}
	lowFrom, lowTo := edge(t.PerYearLow)
	highFrom, highTo := edge(t.PerYearHigh)
	m := (a + b) / 2
	c.bands = []band{{"band", []spot{{a, max(lowFrom, highFrom)}, {m, half}, {b, max(lowTo, highTo)}}, []spot{{a, min(lowFrom, highFrom)}, {m, half}, {b, min(lowTo, highTo)}}}}
	c.lines = []stroke{{"fit", []spot{{a, first}, {b, last}}}}
	return c
}

// dates marks an axis of days since 1970 at the first of a month.
func dates(low, high float64) []mark {
	step := 1
	for _, s := range []int{1, 2, 3, 6, 12, 24, 60} {
		step = s
		if (high-low)/30.44/float64(s) <= 7 {
			break
		}
	}
	at := time.Unix(int64(low*86400), 0).UTC()
	at = time.Date(at.Year(), time.Month((int(at.Month())-1)/min(step, 12)*min(step, 12)+1), 1, 0, 0, 0, 0, time.UTC)
	var list []mark
	for ; float64(at.Unix())/86400 <= high; at = at.AddDate(0, step, 0) {
		if day := float64(at.Unix()) / 86400; day >= low {
			list = append(list, mark{day, at.Format("Jan 2006")})
		}
	}
	return list
}
