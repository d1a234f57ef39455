package decoders

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// beside tells whether most rows with a voltage or current have a time, or a time
// on a line of its own where voltage and current stand on lines of their own too.
func (t *table) beside(tm *timing, g guess) bool {
	with, all, alone := 0, 0, 0
	for row, at := range tm.seconds {
		if t.tells(g, row) {
			all++
			if known(at) {
				with++
			}
		} else if known(at) {
			alone++
		}
	}
	return with*2 > all || alone*3 > all && t.pairs(g)
}

// tells tells whether a row has the voltage or the current.
func (t *table) tells(g guess, row int) bool {
	return g.volts >= 0 && known(t.cols[g.volts].x[row]) || g.amps >= 0 && known(t.cols[g.amps].x[row])
}

// spread gives each row without a time that of the row before.
func (tm *timing) spread() {
	last := math.NaN()
	for row, at := range tm.seconds {
		if known(at) {
			last = at
		}
		tm.seconds[row] = last
	}
}

// backwards tells rows of which hardly one is later than the one before.
func (tm *timing) backwards() bool {
	var s stats
	s.measure(tm.seconds)
	return s.n > 20 && s.falling > 0.9
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
	if g.score < 2 || nameScore(t.cols[g.volts], Volts) == against {
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

// placed tells whether voltage or current is known by its place alone, or by its place among
// several of the same unit.
func (l *Layout) placed() bool {
	for _, f := range l.Fields {
		if (f.Quantity == Volts || f.Quantity == Amps) && f.Key[0] == '#' && (len(f.Key) == 2 && f.Key[1]-'0' <= 9 || strings.IndexByte(f.Key, '@') > 0) {
			return true
		}
	}
	return false
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

// meet tells whether voltage and current stand in one row, at least in half
// of the rows that have either.
func (t *table) meet(g guess) bool {
	both, one := 0, 0
	for row := range t.cols[g.volts].x {
		v, i := known(t.cols[g.volts].x[row]), known(t.cols[g.amps].x[row])
		if v && i {
			both++
		} else if v || i {
			one++
		}
	}
	return both >= one
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

// join puts voltage and current that stand on lines of their own into one row each,
// that of the line which completes the pair, as a stream will.
func (t *table) join(g guess) {
	v, i := t.cols[g.volts], t.cols[g.amps]
	var p pair
	for row := range v.x {
		r := blank
		r[Volts], r[Amps] = v.x[row], i.x[row]
		v.x[row], i.x[row] = math.NaN(), math.NaN()
		if (known(r[Volts]) || known(r[Amps])) && p.join(&r) == nil {
			v.x[row], i.x[row] = r[Volts], r[Amps]
		}
	}
}

// pairs tells whether voltage and current never stand on the same line.
func (t *table) pairs(g guess) bool {
	if g.volts < 0 || g.amps < 0 {
		return false
	}
	both, one, turns, last := 0, 0, 0, false
	for row := range t.cols[g.volts].x {
		v, i := known(t.cols[g.volts].x[row]), known(t.cols[g.amps].x[row])
		switch {
		case v && i:
			both++
		case v || i:
			if one > 0 && v != last {
				turns++
			}
			one, last = one+1, v
		}
	}
	return one > 4*both && one > 1 && turns*10 >= (one-1)*8
}
