package terminal

import (
	"fmt"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/live"
)

// shapes are figures of three by five dots, a line a string, # for ink. A line of
// text holds two lines of dots.
var shapes = map[rune][5]string{
	'0': {"###", "# #", "# #", "# #", "###"},
	'1': {" # ", "## ", " # ", " # ", "###"},
	'2': {"###", "  #", "###", "#  ", "###"},
	'3': {"###", "  #", " ##", "  #", "###"},
	'4': {"# #", "# #", "###", "  #", "  #"},
	'5': {"###", "#  ", "###", "  #", "###"},
	'6': {"###", "#  ", "###", "# #", "###"},
	'7': {"###", "  #", " # ", " # ", " # "},
	'8': {"###", "# #", "###", "# #", "###"},
	'9': {"###", "# #", "###", "  #", "###"},
	'-': {"   ", "   ", "###", "   ", "   "},
	'.': {" ", " ", " ", " ", "#"},
	' ': {" ", " ", " ", " ", " "},
	'V': {"# #", "# #", "# #", "# #", " # "},
	'A': {" # ", "# #", "###", "# #", "# #"},
	'?': {"###", "  #", " # ", "   ", " # "},
}

// figures are voltage and current, large.
func figures(c *live.Channel, width int, p painter) []string {
	v, a := values(c)
	left, right := large(v+" V"), large(a+" A")
	if len([]rune(left[0]))+4+len([]rune(right[0])) > width {
		return []string{p.paint(bold, cut(plainFigures(c), width))}
	}
	lines := make([]string, digitLines)
	for k := range lines {
		lines[k] = p.paint(volts, left[k]) + "    " + p.paint(amps, right[k])
	}
	return lines
}

func plainFigures(c *live.Channel) string {
	v, a := values(c)
	return v + " V   " + a + " A"
}

// values are the present readings as text; what is not known, or old, is "?".
func values(c *live.Channel) (v, a string) {
	v, a = "?", "?"
	if r := c.Reading; r != nil {
		v, a = decimals(r.Volts, 2), decimals(r.Amps, 3)
	}
	return v, a
}

func decimals(n analyze.Number, places int) string {
	if !analyze.Known(n) {
		return "?"
	}
	if n >= 100 || n <= -100 {
		places = 1
	}
	return fmt.Sprintf("%.*f", places, float64(n))
}

// large writes text in the shapes.
func large(text string) []string {
	lines := make([]string, digitLines)
	for _, c := range text {
		shape := shapes[c]
		for k := range lines {
			lower := strings.Repeat(" ", len(shape[0]))
			if 2*k+1 < len(shape) {
				lower = shape[2*k+1]
			}
			for x := range shape[2*k] {
				lines[k] += halves[[2]bool{shape[2*k][x] == '#', lower[x] == '#'}]
			}
			lines[k] += " "
		}
	}
	return lines
}

// halves are the upper and the lower half of a character's place.
var halves = map[[2]bool]string{{false, false}: " ", {true, false}: "▀", {false, true}: "▄", {true, true}: "█"}
