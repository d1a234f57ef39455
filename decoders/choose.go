package decoders

import (
	"fmt"
	"slices"
)

// tells tells whether a row has the voltage or the current.
func (t *table) tells(g guess, row int) bool {
	return g.volts >= 0 && known(t.cols[g.volts].x[row]) || g.amps >= 0 && known(t.cols[g.amps].x[row])
}

// refuse says why a guess will not do. A current that is called something
// else is dropped where a power can stand in for it.
func (t *table) refuse(g *guess, tm timing, o Options) *Unfit {
	name := "name them with --decoder '" + t.example() + "'"
	if g.volts < 0 && g.amps < 0 {
		if half := t.half(tm); half != "" && o.Only == Time {
			return &Unfit{Found: t.seen() + ", and " + half, Need: "a charge needs both; where another meter has the other, `amphora check --example` shows how two are merged", near: 1}
		}
		return &Unfit{Found: t.seen() + ", but no two of them can be voltage and current", Need: name}
	}
	if o.Only != Time {
		return nil
	}
	if nameScore(t.cols[g.amps], Amps) == against {
		if g.watts = t.named(Watts, tm.cols); g.watts < 0 {
			return &Unfit{Found: t.seen() + ", but none of them can be the current", Need: name, near: 1}
		}
		g.amps, g.score = -1, g.score-against
	}
	if g.score < 2 && !t.bothNamed(*g) || nameScore(t.cols[g.volts], Volts) == against {
		if g.amps >= 0 && nameScore(t.cols[g.volts], Volts) > against {
			name = fmt.Sprintf("more lines may tell; if %s is the voltage and %s the current, it is --decoder '%s'", t.label(g.volts), t.label(g.amps), t.with(*g, tm))
		}
		return &Unfit{Found: t.seen() + ", but nothing tells which are voltage and current", Need: name, near: 1}
	}
	if g.amps >= 0 && (!t.pairs(*g) && !t.meet(*g) || t.pairs(*g) && t.cols[g.amps].said.aside) {
		return &Unfit{Found: t.seen() + ", but voltage and current never stand together", Need: name, near: 2}
	}
	return nil
}

// bothNamed tells whether voltage and current are called so: then it is they, though leads that lie about show what
// neither looks like.
func (t *table) bothNamed(g guess) bool {
	return g.amps >= 0 && t.cols[g.volts].said.of == Volts && t.cols[g.amps].said.of == Amps
}

// half says that a log has a voltage alone or a current alone by its names, and no other
// number beside it but the time: there is then nothing to name.
func (t *table) half(tm timing) string {
	numbers := 0
	for i, c := range t.cols {
		if c.what == isNumber && c.said.of != Time && !slices.Contains(tm.cols, i) {
			numbers++
		}
	}
	switch volts, amps := t.named(Volts, tm.cols), t.named(Amps, tm.cols); {
	case numbers != 1 || len(t.cols) < 2:
		return ""
	case volts >= 0:
		return fmt.Sprintf("of these only the voltage, %s; there is no current", t.label(volts))
	case amps >= 0:
		return fmt.Sprintf("of these only the current, %s; there is no voltage", t.label(amps))
	}
	return ""
}

// filled is the share of the rows that have the voltage or the current.
func (t *table) filled(g guess) float64 {
	n := 0
	for row := range t.rows {
		if t.tells(g, row) {
			n++
		}
	}
	return float64(n) / float64(max(t.rows, 1))
}

// named finds the column with a name for q.
func (t *table) named(q Quantity, taken []int) int {
	best, score := -1, 0.0
	for i, c := range t.cols {
		if c.what == isNumber && !slices.Contains(taken, i) && c.said.of == q && nameScore(c, q) > score {
			best, score = i, nameScore(c, q)
		}
	}
	return best
}

// single finds the one column of a source that brings one quantity.
func (t *table) single(q Quantity, taken []int) guess {
	g := noGuess
	for i, c := range t.cols {
		if c.what != isNumber || slices.Contains(taken, i) {
			continue
		}
		if s := asVolts(c); q == Volts && s > g.score {
			g.volts, g.score = i, s
		}
		if s := asAmps(c); q == Amps && s > g.score {
			g.amps, g.score = i, s
		}
	}
	return g
}
