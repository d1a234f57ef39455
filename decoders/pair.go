package decoders

import "math"

// pair joins voltage and current that stand on lines of their own, and the time
// where it has a line too. What came is kept until the reading has both.
type pair struct {
	kept Reading
	full bool
}

// join fills r with what was kept, or keeps r and returns ErrHalf.
func (p *pair) join(r *Reading) error {
	if known(r[Volts]) && known(r[Amps]) {
		p.full = false
		return nil
	}
	if p.full && !p.another(r) {
		for q := range r {
			if !known(r[q]) {
				r[q] = p.kept[q]
			}
		}
	}
	if known(r[Volts]) && known(r[Amps]) {
		p.full = false
		return nil
	}
	p.kept, p.full = *r, true
	return ErrHalf
}

// another tells that r begins another reading although this one lacks its half:
// a second voltage before a current, or a time of its own line after one of them.
// The half was lost, and an old voltage must not be set beside a new current.
func (p *pair) another(r *Reading) bool {
	if known(r[Volts]) || known(r[Amps]) {
		return known(r[Volts]) && known(p.kept[Volts]) || known(r[Amps]) && known(p.kept[Amps])
	}
	return timed(r) && timed(&p.kept) && (known(p.kept[Volts]) || known(p.kept[Amps]))
}

// timed tells whether a line says when.
func timed(r *Reading) bool {
	return known(r[Time]) || known(r[Clock]) || known(r[Stamp]) || known(r[Date])
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
