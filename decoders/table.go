package decoders

import (
	"bytes"
	"math"
	"strconv"
)

// sample is the lines that Fit looks at.
type sample struct {
	lines [][]byte
}

// table is how one decoder would see the lines: values that belong together
// stand in one column, whatever the envelope.
type table struct {
	layout Layout // all but the fields
	cols   []*column
	rows   int     // lines that are rows
	share  float64 // of the lines that are not blank, 0 to 1
	clean  float64 // of the cells, those that are values, 0 to 1
	notes  []string
}

// column is one value over all rows.
type column struct {
	key    string   // as a setting names it
	name   string   // header, label or path; "" for none
	cells  [][]byte // one a row, nil where it is missing
	said   naming
	what   cellKind
	x      []float64 // the numbers, NaN where there is none
	filled int       // cells that are not blank
	stats
}

// cellKind is what most cells of a column are.
type cellKind int

const (
	isBlank cellKind = iota
	isNumber
	isClock
	isDate
	isStamp
	isOverload
	isOther
)

// kindOf tells what a cell is, and its number and unit if it is one.
func kindOf(cell []byte, decimal byte) (kind cellKind, x float64, u *unit) {
	cell = trim(cell)
	if x, n := number(cell, decimal); n > 0 {
		if n == len(cell) {
			if overloaded(x) {
				return isOverload, math.NaN(), nil
			}
			return isNumber, x, nil
		}
		if u := unitNamed(bytes.TrimLeft(cell[n:], " "), none); u != nil {
			return isNumber, x, u
		}
	}
	switch word(cell) {
	case nil:
		return isBlank, math.NaN(), nil
	case ErrOverload:
		return isOverload, math.NaN(), nil
	}
	if _, n := clockAt(cell, formHMS); n == len(cell) {
		return isClock, math.NaN(), nil
	}
	for _, form := range [...]string{formDMY, formMDY} {
		if _, n := dateAt(cell, form); n == len(cell) {
			return isDate, math.NaN(), nil
		}
		if _, n := stampAt(cell, form); n == len(cell) {
			return isStamp, math.NaN(), nil
		}
	}
	return isOther, math.NaN(), nil
}

// study decides what a column holds and reads its numbers.
func (c *column) study(decimal byte) {
	var count [isOther + 1]int
	var found *unit
	c.x = make([]float64, len(c.cells))
	for i, cell := range c.cells {
		k, x, u := kindOf(cell, decimal)
		count[k]++
		if u != nil {
			found = u
			x = u.si(x) / base(u.of).si(1) // cells of one column may differ in their unit
		}
		c.x[i] = x
	}
	c.filled = len(c.cells) - count[isBlank]
	c.what = isBlank
	for k := isNumber; k <= isOther; k++ {
		if count[k] > count[c.what] || c.what == isBlank && count[k] > 0 {
			c.what = k
		}
	}
	c.said = understand(c.name)
	if found != nil {
		c.said.unit = base(found.of)
		if c.said.of == none || c.said.of != found.of {
			c.said.of = found.of
		}
	}
	if c.what == isNumber {
		c.measure(c.x)
	}
}

// after is the value in the next row, NaN where there is none.
func (c *column) after(row int) float64 {
	if row+1 < len(c.x) {
		return c.x[row+1]
	}
	return math.NaN()
}

// Columns

// surveyColumns tries the separators.
func surveyColumns(s *sample) []*table {
	var found []*table
	probe := s.lines
	if len(probe) > 600 { // enough to choose by
		probe = append(append([][]byte(nil), probe[:300]...), probe[len(probe)-300:]...)
	}
	for _, sep := range []byte{'\t', ';', '|', ',', ' '} {
		decimal := decimalOf(probe, sep)
		if width, share := usualWidth(probe, sep, decimal); width > 0 && share > 0 {
			if t := columnTable(s.lines, sep, decimal, width); t != nil {
				found = append(found, t)
			}
		}
	}
	return found
}

// decimalOf tells the decimal mark: a comma where cells are digits, a comma
// and digits, and more often so than with a point.
func decimalOf(lines [][]byte, sep byte) byte {
	if sep == ',' {
		quoted := 0
		for _, l := range lines {
			if bytes.IndexByte(l, '"') >= 0 {
				quoted++
			}
		}
		if quoted < len(lines)/4+1 {
			return '.'
		}
	}
	commas, points := 0, 0
	var room [maxColumns][]byte
	for _, l := range lines {
		cells, _ := cutColumns(l, sep, room[:0])
		for _, c := range cells {
			c = trim(c)
			if _, n := number(c, ','); n == len(c) && bytes.IndexByte(c, ',') > 0 {
				commas++
			}
			if _, n := number(c, '.'); n == len(c) && bytes.IndexByte(c, '.') > 0 {
				points++
			}
		}
	}
	if commas > points {
		return ','
	}
	return '.'
}

// dataCells counts a line's cells that are values and those that are not.
func dataCells(cells [][]byte, decimal byte) (values, others int) {
	for _, c := range cells {
		switch k, _, _ := kindOf(c, decimal); k {
		case isOther:
			others++
		case isBlank:
		default:
			values++
		}
	}
	return values, others
}

// usualWidth is the number of columns that most lines of data have.
func usualWidth(lines [][]byte, sep, decimal byte) (width int, share float64) {
	var count [maxColumns + 1]int
	var room [maxColumns][]byte
	seen := 0
	for _, l := range lines {
		if len(bytes.TrimSpace(l)) == 0 {
			continue
		}
		seen++
		cells, n := cutColumns(l, sep, room[:0])
		if n > maxColumns {
			continue
		}
		if values, others := dataCells(cells, decimal); values > 0 && values >= others {
			count[n]++
		}
	}
	for n, k := range count {
		if k > count[width] {
			width = n
		}
	}
	if seen == 0 {
		return 0, 0
	}
	return width, float64(count[width]) / float64(seen)
}

// columnTable gathers the rows of one width, and the header before them.
func columnTable(lines [][]byte, sep, decimal byte, width int) *table {
	t := &table{layout: Layout{Kind: "columns", Separator: sep, Decimal: decimal, Width: width}}
	t.cols = make([]*column, width)
	for i := range t.cols {
		t.cols[i] = &column{key: strconv.Itoa(i + 1)}
	}
	if sep == ' ' {
		t.layout.Stops = stopsOf(lines, decimal, width)
	}
	var room [maxColumns][]byte
	first, seen, odd, values, others := len(lines), 0, 0, 0, 0
	for i, l := range lines {
		if len(bytes.TrimSpace(l)) == 0 {
			continue
		}
		seen++
		cells, n := t.layout.cut(l, room[:0])
		if n > maxColumns {
			continue
		}
		v, o := dataCells(cells, decimal)
		if v == 0 || v < o {
			continue
		}
		if n != width {
			odd++
			continue
		}
		values, others = values+v, others+o
		for c := range t.cols {
			t.cols[c].cells = append(t.cols[c].cells, cells[c])
		}
		first = min(first, i)
		t.rows++
	}
	if t.rows == 0 {
		return nil
	}
	if odd*50 > t.rows { // ragged: a width would refuse good rows
		t.layout.Width = 0
	}
	t.share, t.clean = float64(t.rows)/float64(seen), float64(values)/float64(values+others)
	t.nameColumns(lines, first)
	return t
}

// nameColumns looks for the header: back from the first row, then on from it,
// for it may be repeated. It may take two lines: names, then units.
func (t *table) nameColumns(lines [][]byte, first int) {
	at := -1
	for k := range lines {
		i := first - 1 - k
		if i < 0 {
			i = k
		}
		if t.isHeader(lines[i]) {
			at = i
			break
		}
	}
	if at < 0 {
		return
	}
	names := headerCells(lines[at], t.layout.Separator, len(t.cols))
	if at > 0 {
		if above := headerCells(lines[at-1], t.layout.Separator, len(t.cols)); above != nil {
			for i := range names {
				names[i] = above[i] + " " + names[i]
			}
		}
	}
	for i, c := range t.cols {
		c.name = names[i]
	}
}

// isHeader tells a line of names: as many as columns, no numbers, and at
// least one that is a quantity or unit.
func (t *table) isHeader(line []byte) bool {
	if len(line) == 0 || line[0]-'0' <= 9 {
		return false
	}
	names := headerCells(line, t.layout.Separator, len(t.cols))
	known := false
	for _, name := range names {
		if k, _, _ := kindOf([]byte(name), t.layout.Decimal); k == isNumber || k == isStamp {
			return false
		}
		known = known || understand(name).of != none
	}
	return known
}

// headerCells cuts a header, nil where it has not one cell a column. A header
// set in blanks may have units of their own after the names, and any header
// may be marked as a comment.
func headerCells(line []byte, sep byte, width int) []string {
	var room [2 * maxColumns][]byte
	for _, l := range [][]byte{line, bytes.TrimLeft(line, "#%;/!* ")} {
		cells, n := cutColumns(l, sep, room[:0])
		if sep == ' ' && n == 2*width {
			for i := 0; i < width; i++ {
				u := bytes.Trim(cells[2*i+1], "[]()<>")
				if unitNamed(u, none) == nil {
					return nil
				}
				cells[i] = append(append(append([]byte(nil), cells[2*i]...), ' '), u...)
			}
			n, cells = width, cells[:width]
		}
		if n != width {
			continue
		}
		names := make([]string, width)
		for i := range names {
			names[i] = latin(trim(cells[i]))
		}
		return names
	}
	return nil
}

// latin gives text that is no UTF-8 as what it would be in Latin-1.
func latin(b []byte) string {
	s := string(b)
	if string([]rune(s)) == s {
		return s
	}
	r := make([]rune, len(b))
	for i, c := range b {
		r[i] = rune(c)
	}
	return string(r)
}

// Labels and paths

// gather builds a table from values that have names.
type gather struct {
	t     *table
	index map[string]int
	room  map[int][]byte
}

func newGather(kind string, decimal byte) *gather {
	return &gather{t: &table{layout: Layout{Kind: kind, Decimal: decimal}}, index: map[string]int{}}
}

// put sets a value in the row that is being built.
func (g *gather) put(key, name string, value []byte) {
	i, ok := g.index[key]
	if !ok {
		if len(g.t.cols) >= maxColumns {
			return
		}
		i = len(g.t.cols)
		g.index[key] = i
		g.t.cols = append(g.t.cols, &column{key: key, name: name})
	}
	c := g.t.cols[i]
	for len(c.cells) < g.t.rows {
		c.cells = append(c.cells, nil)
	}
	if len(c.cells) == g.t.rows {
		c.cells = append(c.cells, value)
	}
}

// finish fills the columns up to the last row.
func (g *gather) finish(seen int) *table {
	if g.t.rows == 0 {
		return nil
	}
	for _, c := range g.t.cols {
		for len(c.cells) < g.t.rows {
			c.cells = append(c.cells, nil)
		}
	}
	g.t.share, g.t.clean = float64(g.t.rows)/float64(max(seen, 1)), 1
	return g.t
}

func surveyJSON(s *sample) []*table {
	g := newGather("json", '.')
	w := jsonWalk{path: make([]byte, 0, 256)}
	seen := 0
	for _, l := range s.lines {
		if len(bytes.TrimSpace(l)) == 0 {
			continue
		}
		seen++
		if bytes.IndexByte(l, '{') < 0 && bytes.IndexByte(l, '[') < 0 {
			continue
		}
		values := 0
		for w.start(l); w.next(); values++ {
		}
		if values == 0 || w.torn {
			continue
		}
		for w.start(l); w.next(); {
			g.put(string(w.path), string(w.path), w.value)
		}
		g.t.rows++
	}
	t := g.finish(seen)
	if t == nil {
		return nil
	}
	for _, c := range t.cols { // a list without one object is no JSON log
		if _, err := strconv.Atoi(c.key); err != nil {
			return []*table{t}
		}
	}
	return nil
}

// surveyLabelled names values by the last word of their label, or by the
// whole label where one line has that word twice.
func surveyLabelled(s *sample) []*table {
	decimal := labelledDecimal(s.lines)
	twice := map[string]bool{}
	for _, l := range s.lines[:min(len(s.lines), 200)] {
		seen := map[string]bool{}
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); {
			w := lastWord(sc.label)
			twice[w] = twice[w] || seen[w]
			seen[w] = true
		}
	}
	g := newGather("labelled", decimal)
	seen, named := 0, 0
	for _, l := range s.lines {
		if len(bytes.TrimSpace(l)) == 0 {
			continue
		}
		seen++
		values, good := 0, 0
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); values++ {
			key := lastWord(sc.label)
			if twice[key] {
				key = string(bytes.ToLower(sc.label))
			}
			if len(sc.label) == 0 {
				key = "#" + sc.bare()
			}
			if len(sc.label) > 0 || sc.unit != nil {
				good++
			}
			g.put(key, string(sc.label), sc.value)
		}
		if values > 0 {
			g.t.rows++
		}
		if good > 0 {
			named++
		}
	}
	t := g.finish(seen)
	if t == nil || named*2 < t.rows {
		return nil
	}
	return []*table{t}
}

func lastWord(label []byte) string {
	i := len(label)
	for i > 0 && wordByte(label[i-1]) {
		i--
	}
	return string(bytes.ToLower(label[i:]))
}

// labelledDecimal tells a decimal comma from a comma between values: digits
// on both sides, and no point in any number.
func labelledDecimal(lines [][]byte) byte {
	commas, points := 0, 0
	for _, l := range lines[:min(len(lines), 500)] {
		for i := 1; i+1 < len(l); i++ {
			if l[i-1]-'0' <= 9 && l[i+1]-'0' <= 9 {
				switch l[i] {
				case ',':
					commas++
				case '.':
					points++
				}
			}
		}
	}
	if commas > points {
		return ','
	}
	return '.'
}
