package terminal

import (
	"fmt"
	"math"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/curve"
)

// margin is the width of the scale beside the curves.
const margin = 8

// chart draws voltage above and current below, with the stages and the time under
// them, in so many lines.
func chart(points []curve.Point, s *analyze.Session, width, high int, p painter) []string {
	if len(points) < 2 || points[0].At == points[len(points)-1].At { // the first one was told more than once
		return append(make([]string, high-1), p.paint(faint, cut("The curve begins with the second reading.", width)))
	}
	from, to := points[0].At, points[len(points)-1].At
	plot := high - 1
	above := (plot + 1) / 2
	lines := voltage.draw(points, width, above, p)
	lines = append(lines, current.draw(points, width, plot-above, p)...)
	return append(lines, p.paint(faint, foot(s, from, to, width)))
}

// quantity is what a curve shows.
type quantity struct {
	of    func(*curve.Point) float64
	scale string // format
	mood  mood
}

var (
	voltage = quantity{func(q *curve.Point) float64 { return q.Volts }, "%.2f V", volts}
	current = quantity{func(q *curve.Point) float64 { return q.Amps }, "%.2f A", amps}
)

// draw is one curve in braille: two by four dots a character (Unicode 2800).
func (q quantity) draw(points []curve.Point, width, high int, p painter) []string {
	low, top := math.Inf(1), math.Inf(-1)
	for k := range points {
		if x := q.of(&points[k]); analyze.Known(x) {
			low, top = min(low, x), max(top, x)
		}
	}
	lines := make([]string, high)
	if high == 0 || top < low {
		return lines
	}
	g := newGrid(width-margin, high)
	span, flat := top-low, top == low
	from, length := points[0].At, points[len(points)-1].At-points[0].At
	for k := range points {
		x := q.of(&points[k])
		if !analyze.Known(x) {
			continue
		}
		y := 0.5
		if !flat {
			y = (x - low) / span
		}
		g.set((points[k].At-from)/length, y)
	}
	for k := range lines {
		scale := ""
		switch {
		case k == 0:
			scale = fmt.Sprintf(q.scale, top)
		case k == high-1 && !flat:
			scale = fmt.Sprintf(q.scale, low)
		}
		scale = strings.Replace(scale, "-0.00 ", "0.00 ", 1)
		lines[k] = fmt.Sprintf("%*s ", margin-1, cut(scale, margin-1)) + p.paint(q.mood, g.line(k))
	}
	return lines
}

// grid is a field of dots.
type grid struct {
	width, high int // characters
	dots        []byte
	lastX       int
	lastY       int
	began       bool
}

func newGrid(width, high int) *grid {
	return &grid{width: width, high: high, dots: make([]byte, width*high)}
}

// apart is how many dots may lie between two points that a line joins; further
// apart, rows are missing.
const apart = 8

// set puts a dot at shares of the width and of the height, from the lower left, and
// joins it to the one before.
func (g *grid) set(x, y float64) {
	px := int(math.Round(x * float64(2*g.width-1)))
	py := int(math.Round((1 - y) * float64(4*g.high-1)))
	if g.began && px-g.lastX <= apart {
		steps := max(px-g.lastX, abs(py-g.lastY), 1)
		for k := range steps {
			g.ink(g.lastX+(px-g.lastX)*k/steps, g.lastY+(py-g.lastY)*k/steps)
		}
	}
	g.ink(px, py)
	g.lastX, g.lastY, g.began = px, py, true
}

func (g *grid) ink(px, py int) { g.dots[py/4*g.width+px/2] |= dot[py%4][px%2] }

func abs(n int) int { return max(n, -n) }

// dot is the bit of each place within a character.
var dot = [4][2]byte{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}

func (g *grid) line(k int) string {
	var b strings.Builder
	for _, d := range g.dots[k*g.width : (k+1)*g.width] {
		b.WriteRune(0x2800 + rune(d))
	}
	return b.String()
}

// foot names the stages under the stretch of time that they took.
func foot(s *analyze.Session, from, to float64, width int) string {
	room := []rune(strings.Repeat(" ", width))
	write := func(at int, text string) {
		for k, c := range []rune(text) {
			if at+k >= 0 && at+k < len(room) {
				room[at+k] = c
			}
		}
	}
	if s != nil {
		free := margin
		for _, st := range s.Stages {
			end := to
			if analyze.Known(st.EndS) {
				end = min(to, float64(st.EndS))
			}
			a := margin + int((max(from, float64(st.StartS))-from)/(to-from)*float64(width-margin-1))
			b := margin + int((end-from)/(to-from)*float64(width-margin-1))
			name := strings.ReplaceAll(string(st.Stage), "constant-", "const. ")
			if a >= free && b-a > len(name) {
				write(a, "|"+name)
				free = a + len(name) + 2
			}
		}
	}
	length := analyze.Clock(to - from)
	write(width-len([]rune(length)), length)
	return string(room)
}
