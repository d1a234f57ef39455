package decoders

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
)

// surveyColumns tries the separators.
func surveyColumns(s *sample) []*table {
	var found []*table
	probe := s.probe()
	whole := false // lines were tried as one cell each
	for _, sep := range []byte{'\t', ';', '|', ',', ' '} {
		if !slices.ContainsFunc(s.lines, func(line []byte) bool { return bytes.IndexByte(line, sep) >= 0 }) {
			if whole {
				continue
			}
			whole = true
		}
		l := Layout{Kind: "columns", Separator: sep, Before: timesBefore(probe, sep)}
		l.Decimal = l.decimalOf(probe)
		if sep == ',' && l.Decimal == '.' && inHalves(probe) {
			halves := l
			halves.Decimal = ','
			halves.Width = halves.usualWidth(probe)
			if t := columnTable(s.lines, halves); t != nil {
				found = append(found, t)
			}
		}
		if l.Width = l.usualWidth(probe); l.Width > 0 {
			if t := columnTable(s.lines, l); t != nil {
				found = append(found, t)
			}
		}
	}
	return found
}

// decimalOf tells the decimal mark: a comma where cells are digits, a comma
// and digits, and more often so than with a point.
func (l *Layout) decimalOf(lines [][]byte) byte {
	if l.Separator == ',' {
		quoted := 0
		for _, line := range lines {
			if bytes.IndexByte(line, '"') >= 0 {
				quoted++
			}
		}
		if quoted < len(lines)/4+1 {
			return '.'
		}
	}
	commas, points := 0, 0
	var room [maxColumns][]byte
	for _, line := range lines {
		cells, _ := l.cut(line, room[:0])
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

// mostlyData tells whether a line has values, and at least as many as cells that are none. It
// begins at the end, as times, which are dear to read, mostly stand first.
func mostlyData(cells [][]byte, decimal byte) bool {
	values, others := 0, 0
	for _, c := range slices.Backward(cells) {
		switch k, _, _ := kindOf(c, decimal); k {
		case isOther:
			others++
		case isBlank:
		default:
			if values++; values*2 >= len(cells) {
				return true
			}
		}
	}
	return values > 0 && values >= others
}

// usualWidth is the number of columns that most lines of data have, 0 without such lines.
func (l *Layout) usualWidth(lines [][]byte) (width int) {
	var count [maxColumns + 1]int
	var room [maxColumns][]byte
	for _, line := range lines {
		cells, n := l.cut(line, room[:0])
		if n > maxColumns {
			continue
		}
		if mostlyData(cells, l.Decimal) {
			count[n]++
		}
	}
	for n, k := range count {
		if k > count[width] {
			width = n
		}
	}
	return width
}

// columnTable gathers the rows of one width, and the header before them.
func columnTable(lines [][]byte, layout Layout) *table {
	t := &table{layout: layout}
	width, decimal := layout.Width, layout.Decimal
	t.cols = make([]*column, width)
	for i := range t.cols {
		t.cols[i] = &column{key: strconv.Itoa(i + 1)}
	}
	if layout.Separator == ' ' && !layout.Before {
		t.layout.Stops = stopsOf(lines, decimal, width)
	}
	var room [maxColumns][]byte
	first, seen, odd := len(lines), 0, 0
	for i, l := range lines {
		if len(bytes.TrimSpace(l)) == 0 {
			continue
		}
		seen++
		cells, n := t.layout.cut(l, room[:0])
		if !mostlyData(cells, decimal) {
			continue
		}
		if n != width {
			odd++
			if len(t.odd) < plenty {
				t.odd = append(t.odd, slices.Clone(cells))
			}
			continue
		}
		for c, cell := range cells {
			if t.rows == 0 {
				t.cols[c].cells = make([][]byte, 0, len(lines)-i)
			}
			t.cols[c].cells = append(t.cols[c].cells, cell)
		}
		first = min(first, i)
		t.rows++
	}
	if t.rows == 0 {
		return nil
	}
	if odd*50 <= t.rows {
		t.odd = nil
	}
	t.share = float64(t.rows) / float64(seen)
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
	names := t.layout.headerCells(lines[at], len(t.cols))
	if at > 0 && marked(lines[at-1]) == marked(lines[at]) {
		if above := t.layout.headerCells(lines[at-1], len(t.cols)); above != nil {
			for i := range names {
				names[i] = above[i] + " " + names[i]
			}
		}
	}
	for i, c := range t.cols {
		c.name = names[i]
	}
}

// marked tells a remark; what stands above a header but is a remark, while the
// header is none, is prose that happens to have as many commas.
func marked(line []byte) bool {
	return len(line) > 0 && strings.IndexByte("#%;/!*", line[0]) >= 0
}

// isHeader tells a line of names: as many as columns, no numbers, and at
// least one that is a quantity or unit.
func (t *table) isHeader(line []byte) bool {
	if len(line) == 0 || line[0]-'0' <= 9 {
		return false
	}
	names := t.layout.headerCells(line, len(t.cols))
	known := false
	for _, name := range names {
		if k, _, _ := kindOf([]byte(name), t.layout.Decimal); k == isNumber || k == isStamp || marked(line) && saysNumber(name) { // a remark about the meter
			return false
		}
		known = known || understand(name).of != none
	}
	return known
}

// headerCells cuts a header, nil where it has not one cell a column. A header
// set in blanks may have units of their own after the names, and any header
// may be marked as a comment.
func (l *Layout) headerCells(line []byte, width int) []string {
	if l.Before {
		line = l.behindTime(line)
		if names := headerCells(line, l.Separator, width-1); names != nil {
			return append([]string{""}, names...)
		}
	}
	return headerCells(line, l.Separator, width)
}

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
