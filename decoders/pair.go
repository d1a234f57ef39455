package decoders

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
