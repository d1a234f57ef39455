package decoders

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Columns: values in a fixed order, something between them.
//
//	0.000,3.32521,-0.00400,26.82
//	00:10;12,65;-0,50
//	"14.03.2026 21:40"	13.82	3500
//
// Seen in every open log that the tests read.
var columnsEntry = Entry{
	Name:   "columns",
	About:  "values in a fixed order between commas, semicolons, tabs, bars or blanks",
	New:    newColumns,
	survey: surveyColumns,
}

const maxColumns = 64

type columns struct {
	layout *Layout
	at     [maxColumns]*Field // the field in each column, nil where nobody wants it
	need   int                // columns up to the last one wanted
	plan   []slot             // for quick; nil where the layout is not of the plain kind
	cells  [maxColumns][]byte
}

// slot is where quick puts a column's number.
type slot struct {
	to   Quantity // none: skip
	unit *unit    // nil for the SI unit
	sign uint64   // the sign bit where the current counts out of the battery
}

func newColumns(l *Layout) (Decoder, error) {
	d := &columns{layout: l}
	if l.Separator == 0 {
		return nil, fmt.Errorf("columns need separator=")
	}
	if len(l.Fields) == 0 {
		return nil, fmt.Errorf("columns need a field such as voltage=2:V")
	}
	for i := range l.Fields {
		f := &l.Fields[i]
		n, err := strconv.Atoi(f.Key)
		if err != nil || n < 1 || n > maxColumns {
			return nil, fmt.Errorf("%s: %q is not a column from 1 to %d", f.Quantity, f.Key, maxColumns)
		}
		if d.at[n-1] != nil {
			return nil, fmt.Errorf("column %d is %s and %s at once", n, d.at[n-1].Quantity, f.Quantity)
		}
		d.at[n-1] = f
		d.need = max(d.need, n)
		f.adds = slices.ContainsFunc(l.Fields[:i], func(before Field) bool { return before.Quantity == f.Quantity })
	}
	if d.need > l.Width && l.Width > 0 {
		return nil, fmt.Errorf("width=%d is less than column %d", l.Width, d.need)
	}
	d.planQuick()
	return d, nil
}

// planQuick prepares the fast way, open to rows of plain numbers with one
// byte between them.
func (d *columns) planQuick() {
	if d.layout.Separator == ' ' || d.layout.Decimal != '.' || d.layout.Width == 0 {
		return
	}
	plan := make([]slot, d.layout.Width)
	for c := range plan {
		f := d.at[c]
		switch {
		case f == nil:
			plan[c] = slot{to: none}
		case f.unit == nil || f.unit.zero != 0 || f.adds:
			return
		default:
			plan[c] = slot{to: f.Quantity}
			if f.unit.mul != 1 || f.unit.div != 1 {
				plan[c].unit = f.unit
			}
			if f.Negate {
				plan[c].sign = 1 << 63
			}
		}
	}
	d.plan = plan
}

// Decode reads a row.
func (d *columns) Decode(line []byte, r *Reading) error {
	*r = blank
	if d.plan != nil && d.quick(line, r) {
		return nil
	}
	*r = blank
	return d.careful(line, r)
}

// quick reads a row of plain numbers of at most fifteen digits; it returns false,
// having spoilt r, at the first thing it does not know, and careful has the
// last word.
func (d *columns) quick(line []byte, r *Reading) bool {
	if len(line) < 8 {
		return false
	}
	sep := d.layout.Separator
	i, last := 0, len(d.plan)-1
	for c := range d.plan {
		if i >= len(line) {
			return false
		}
		p := &d.plan[c]
		sign := p.sign
		if line[i] == '-' {
			sign ^= 1 << 63
			i++
		}
		m, places, n := decimalAt(line, i)
		if n == 0 {
			return false
		}
		i += n
		if i < len(line) {
			if line[i] != sep || c == last {
				return false
			}
			i++
		} else if c != last {
			return false
		}
		if p.to < 0 {
			continue
		}
		x := math.Float64frombits(math.Float64bits(float64(int64(m))/pow10[places&15]) ^ sign)
		if p.unit != nil {
			x = p.unit.si(x)
		}
		r[p.to] = x
	}
	return true
}

// careful reads any row: quotes, units, words, blank cells, times.
func (d *columns) careful(line []byte, r *Reading) error {
	cells, n := d.layout.cut(line, d.cells[:0])
	want := d.layout.Width
	var err error
	good, bad, wrong := 0, 0, false
	for c := 0; c < min(n, d.need); c++ {
		f := d.at[c]
		if f == nil {
			continue
		}
		x, e := f.value(cells[c], d.layout.Decimal)
		switch {
		case e == ErrNumber:
			bad++
			wrong = wrong || f.Quantity != Celsius
		case e != nil:
			good++
			err = e
		default:
			f.set(r, x)
			if x == x {
				good++
			}
		}
	}
	switch {
	case good == 0 || bad >= good || bad > 0 && n < d.need:
		return ErrNotMine
	case n < d.need || want > 0 && n != want:
		return ErrTorn
	case wrong:
		return ErrNumber
	}
	return err
}

func (d *columns) trace(line []byte, found []value) ([]value, bool) {
	cells, _ := d.layout.cut(line, d.cells[:0])
	for c, cell := range cells {
		found = append(found, value{d.at[c], cell})
	}
	return found, true
}

// cut cuts a line into cells.
func (l *Layout) cut(line []byte, cells [][]byte) ([][]byte, int) {
	if len(l.Stops) > 0 {
		return cutFixed(line, l.Stops, cells)
	}
	if l.Before {
		if time, row := timeBefore(line, l.Separator); time != nil {
			cells, n := cutColumns(row, l.Separator, append(cells, time))
			return cells, n + 1
		}
	}
	cells, n := cutColumns(line, l.Separator, cells)
	if l.Separator == ',' && l.Decimal == ',' && n <= maxColumns && bytes.IndexByte(line, '"') < 0 {
		cells = joinHalves(cells)
		n = len(cells)
	}
	return cells, n
}

// cutFixed cuts where the columns of a table of fixed width end. A line that
// is too short ends in blank cells, unless it is cut within one.
func cutFixed(line []byte, stops []int, cells [][]byte) ([][]byte, int) {
	begin := 0
	for k, stop := range stops {
		if stop > len(line) || k == len(stops)-1 {
			stop = len(line)
		}
		cells = append(cells, line[begin:stop])
		begin = stop
	}
	return cells, len(stops)
}

// cutColumns cuts a line into cells and counts them; cells beyond the
// capacity of the slice are counted only. Quoted cells may hold the separator.
func cutColumns(line []byte, sep byte, cells [][]byte) ([][]byte, int) {
	n := 0
	add := func(c []byte) {
		if len(cells) < cap(cells) {
			cells = append(cells, c)
		}
		n++
	}
	if sep == ' ' {
		for line = bytes.TrimLeft(line, " \t"); len(line) > 0; line = bytes.TrimLeft(line, " \t") {
			end := quotedEnd(line)
			if k := bytes.IndexAny(line[end:], " \t"); k >= 0 {
				end += k
			} else {
				end = len(line)
			}
			add(line[:end])
			line = line[end:]
		}
		return cells, n
	}
	for {
		end := quotedEnd(line)
		k := bytes.IndexByte(line[end:], sep)
		if k < 0 {
			add(line)
			return cells, n
		}
		add(line[:end+k])
		line = line[end+k+1:]
	}
}

// quotedEnd is where the quoted text that a cell begins with ends, 0 for none.
func quotedEnd(b []byte) int {
	i := 0
	for i < len(b) && b[i] == ' ' {
		i++
	}
	if i == len(b) || b[i] != '"' {
		return 0
	}
	if k := bytes.IndexByte(b[i+1:], '"'); k >= 0 {
		return i + k + 2
	}
	return 0
}
