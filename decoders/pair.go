package decoders

// pair joins voltage and current that stand on lines of their own. The first
// half is kept, with whatever else it says, until the other half comes.
type pair struct {
	kept Reading
	full bool
}

// join fills r with the half that was kept, or keeps r and returns ErrHalf.
// A second voltage before a current takes the first one's place: a half was
// lost, and an old voltage must not be set beside a new current.
func (p *pair) join(r *Reading) error {
	if known(r[Volts]) && known(r[Amps]) {
		p.full = false
		return nil
	}
	if p.full && p.other(r) {
		for q := range r {
			if !known(r[q]) {
				r[q] = p.kept[q]
			}
		}
		p.full = false
		return nil
	}
	if p.full && !known(r[Volts]) && !known(r[Amps]) { // a line between, of temperature or time
		for q := range r {
			if known(r[q]) {
				p.kept[q] = r[q]
			}
		}
		return ErrHalf
	}
	p.kept, p.full = *r, true
	return ErrHalf
}

// other tells whether r brings what the kept half lacks.
func (p *pair) other(r *Reading) bool {
	return known(r[Volts]) && !known(p.kept[Volts]) || known(r[Amps]) && !known(p.kept[Amps])
}
