package plot

import (
	"cmp"
	"image/color"
	"slices"

	"amphora/analyze"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// name is a text in a lane above the panels, with a leader down to its place.
type name struct {
	text    string
	ink     color.Color
	finding bool // a triangle stands before it, and the leader goes all the way
	rank    int  // the lower the sooner it gets a place
	x, left vg.Length
	lane    int
}

const (
	triangle = 12 // the room that a finding's mark takes before its code
	peak     = 5  // where in that room the triangle's tip is
)

func nameLettering(c color.Color) text.Style { return lettering(9, c, text.XCenter, text.YCenter) }

func (n name) style() text.Style {
	if n.finding {
		return bold(nameLettering(n.ink))
	}
	return nameLettering(n.ink)
}

// placeNames finds room for what has none in the strip of stages, the most
// important first, and gives the number of lanes used. What finds no room is
// counted, and a finding keeps its triangle.
func (p *page) placeNames() (used int) {
	list := p.wantedNames()
	room := newLanes(span{p.time.from, p.time.to}, list)
	for i, n := range list {
		var ok bool
		width := n.style().Width(n.text)
		if n.finding {
			n.left, n.lane, ok = room.put(i, triangle, width, n.x-peak)
		} else {
			n.left, n.lane, ok = room.put(i, 0, width, n.x-width/2, n.x-2, n.x-width+2)
		}
		if !ok {
			p.leftOut++
			if !n.finding {
				continue
			}
			n.text, n.left, n.lane = "", n.x-peak, 0
		}
		used = max(used, n.lane+1)
		p.names = append(p.names, n)
	}
	return used
}

// wantedNames lists what has no room in the strip, findings first.
func (p *page) wantedNames() (list []name) {
	for _, s := range p.sessions {
		for _, f := range s.Findings {
			if n, ok := p.findingName(f, s); ok {
				list = append(list, n)
			}
		}
	}
	for _, s := range p.sessions {
		for _, g := range s.Stages {
			if x, ok := p.stretch(g.StartS, g.EndS); ok && !fits(stageText(g), x) {
				list = append(list, name{text: stageText(g), ink: ink, rank: 1, x: (x.from + x.to) / 2})
			}
		}
	}
	for _, g := range p.gaps {
		if x, ok := p.stretch(g.StartS, g.EndS); ok {
			list = append(list, name{text: "unmeasured " + duration(float64(g.EndS-g.StartS)), ink: quiet, rank: 2, x: (x.from + x.to) / 2})
		}
	}
	// From the right: a name then has the free paper to its right, and those to
	// its left can pass above it.
	slices.SortStableFunc(list, func(a, b name) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(b.x, a.x))
	})
	return list
}

// findingName is the mark of a warning or an alarm; notes are not marked.
func (p *page) findingName(f analyze.Finding, s analyze.Session) (n name, ok bool) {
	n = name{text: f.Code, finding: true, ink: warned}
	switch f.Severity {
	case analyze.Alarm:
		n.ink = alert
	case analyze.Warning:
	default:
		return n, false
	}
	at := float64(f.AtS)
	if !analyze.Known(at) {
		at = float64(s.StartS)
	}
	if !analyze.Known(at) {
		at = p.time.low
	}
	n.x = p.time.clamp(at)
	return n, true
}

func (p *page) drawNames(c draw.Canvas) {
	for _, n := range p.names {
		y := p.ceiling() + headHeight + (vg.Length(n.lane)+0.5)*laneHeight + 1
		style, left := n.style(), n.left
		style.XAlign = text.XLeft
		foot := p.ceiling() + headHeight
		if n.finding {
			foot = p.floor()
			c.FillPolygon(n.ink, []vg.Point{{X: left + 1, Y: y - 3.5}, {X: left + 9, Y: y - 3.5}, {X: left + peak, Y: y + 4}})
			left += triangle
		}
		c.StrokeLines(pen(0.7, n.ink, leaderDashes(n)...), []vg.Point{{X: n.x, Y: y - 5.5}, {X: n.x, Y: foot}})
		c.FillText(style, vg.Point{X: left, Y: y}, n.text)
	}
}

// leaderDashes dots the leader of a finding, which crosses the curves.
func leaderDashes(n name) []vg.Length {
	if n.finding {
		return []vg.Length{1, 2.5}
	}
	return nil
}
