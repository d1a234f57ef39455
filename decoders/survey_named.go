package decoders

import (
	"bytes"
	"slices"
)

// gather builds a table from values that have names.
type gather struct {
	t     *table
	index map[string]int
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
	c.lack(g.t.rows)
	if len(c.cells) == g.t.rows {
		c.cells = append(c.cells, value)
	}
}

// lack fills a column up to so many rows, in one go: a label may stand in the first line alone.
func (c *column) lack(rows int) {
	c.cells = append(c.cells, make([][]byte, max(0, rows-len(c.cells)))...)
}

// finish fills the columns up to the last row.
func (g *gather) finish(seen int) *table {
	if g.t.rows == 0 {
		return nil
	}
	for _, c := range g.t.cols {
		c.lack(g.t.rows)
	}
	g.t.share, g.t.clean = float64(g.t.rows)/float64(max(seen, 1)), 1
	return g.t
}

// surveyLabelled names values by the last word of their label, or by the
// whole label where one line has that word twice.
func surveyLabelled(s *sample) []*table {
	worded, bare := byWords(s.probe())
	if len(worded)*namedShare < bare {
		return nil
	}
	decimal := labelledDecimal(s.lines)
	if !haveNames(worded, bare, decimal) {
		return nil
	}
	k := keysOf(s.lines, decimal)
	g := newGather("labelled", decimal)
	seen, named := 0, 0
	for _, l := range s.lines {
		if len(bytes.TrimSpace(l)) == 0 {
			continue
		}
		seen++
		if isJSON(l) {
			continue
		}
		values, good := 0, 0
		k.begin()
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); values++ {
			key, name := k.of(&sc)
			if name != "" || sc.unit != nil {
				good++
			}
			g.put(key, name, sc.value)
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
	t.deviceNames()
	return []*table{t}
}

// hardly one in so many lines is none, but for damaged ones.
const hardly = 10

// alike finds the last words that lines have twice, and those of them that upper
// and lower case tell apart: t=12 T=18.0. A word that hardly one of its lines has twice
// is of damaged ones.
func alike(lines [][]byte, decimal byte) (twice, cased map[string]bool) {
	has, again := map[string]int{}, map[string]int{}
	twice, cased = map[string]bool{}, map[string]bool{}
	for _, l := range lines {
		seen := map[string]string{}
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); {
			w := lastWord(sc.label)
			spelt := string(lastSpelt(sc.label))
			if before, ok := seen[w]; ok {
				again[w]++
				cased[w] = before != spelt
			} else {
				has[w]++
			}
			seen[w] = spelt
		}
	}
	for w, n := range again {
		if twice[w] = n*hardly > has[w]; !twice[w] {
			delete(cased, w)
		}
	}
	return twice, cased
}

// namedShare of the lines with a value, one in so many, have one with a name or a unit.
// Half of them must in the end, but this is found out sooner.
const namedShare = 5

// byWords are the lines with letters, in which a name or a unit may be, and how many others
// have numbers.
func byWords(lines [][]byte) (worded [][]byte, bare int) {
	for _, l := range lines {
		if slices.ContainsFunc(l, letter) {
			worded = append(worded, l)
		} else if slices.ContainsFunc(l, digit) {
			bare++
		}
	}
	return worded, bare
}

// haveNames tells whether lines with letters have names or units, and often enough beside
// so many without.
func haveNames(worded [][]byte, bare int, decimal byte) bool {
	rows, named := bare, 0
	for _, l := range worded {
		sc := scanner{line: l, decimal: decimal}
		if !sc.next() {
			continue
		}
		rows++
		for good := true; good; good = sc.next() {
			if len(sc.label) > 0 || sc.unit != nil {
				named++
				break
			}
		}
	}
	return named*namedShare >= rows
}

func lastWord(label []byte) string { return folded(lastSpelt(label)) }

// folded is a label in lower case as far as foldEqual takes upper and lower case as alike.
func folded(label []byte) string {
	out := bytes.Clone(label)
	for i, c := range out {
		out[i] = lower(c)
	}
	return string(out)
}

// lastSpelt is the last word as it is spelt.
func lastSpelt(label []byte) []byte {
	i := len(label)
	for i > 0 && wordByte(label[i-1]) {
		i--
	}
	return label[i:]
}

// labelledDecimal tells a decimal comma from a comma between values: digits
// on both sides, and no point in any number that is no date. Behind a time, and before a
// number with decimals of its own, it stands between values.
func labelledDecimal(lines [][]byte) byte {
	commas, points := 0, 0
	for _, l := range lines[:min(len(lines), 500)] {
		for i := 1; i+1 < len(l); i++ {
			if date := dateLength(l, i-1); date > 0 {
				i += date
			} else if l[i-1]-'0' <= 9 && l[i+1]-'0' <= 9 {
				switch l[i] {
				case ',':
					if !endsTime(l[:i]) && !pointFollows(l[i+1:]) {
						commas++
					}
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

// endsTime tells a text that ends in a time, 21:40:05.
func endsTime(l []byte) bool {
	n := len(l)
	for n > 0 && digit(l[n-1]) {
		n--
	}
	return n > 1 && l[n-1] == ':' && digit(l[n-2])
}

// pointFollows tells a number with a point and digits behind it.
func pointFollows(l []byte) bool {
	_, n := digits(l)
	return n+1 < len(l) && l[n] == '.' && digit(l[n+1])
}

// dateLength is the length of a date with points that begins at i, 0 for none.
func dateLength(l []byte, i int) int {
	if l[i]-'0' > 9 || i > 0 && l[i-1]-'0' <= 9 {
		return 0
	}
	_, n := dateAt(l[i:], formDMY)
	if n < 6 || bytes.IndexByte(l[i:i+n], '.') < 0 || bytes.IndexByte(l[i:i+n], ',') >= 0 {
		return 0
	}
	return n
}
