package analyze

// doubt keeps the rows of which it is not yet known whether current flowed in
// them, so that they can be given to the charge, or not, once it is.
type doubt struct {
	rows [48]mark
	n    int
}

// add keeps a row; when full, the oldest is handed back to be taken as flowing.
func (d *doubt) add(m *mark) (oldest mark, full bool) {
	if d.n == len(d.rows) {
		oldest, full = d.rows[0], true
		copy(d.rows[:], d.rows[1:])
		d.n--
	}
	d.rows[d.n] = *m
	d.n++
	return oldest, full
}

// take empties the store.
func (d *doubt) take() []mark {
	n := d.n
	d.n = 0
	return d.rows[:n]
}
