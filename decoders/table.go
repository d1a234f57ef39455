package decoders

// sample is the lines that Fit looks at.
type sample struct {
	lines [][]byte
	all   [][]byte // the damaged ones among them, for who counts lines
}

// through is the same lines after a change.
func (s *sample) through(change func([][]byte) [][]byte) *sample {
	out := &sample{lines: change(s.lines)}
	if out.all = out.lines; len(s.all) > len(s.lines) {
		out.all = change(s.all)
	}
	return out
}

// probe is some of the lines, enough to choose an envelope by.
func (s *sample) probe() [][]byte {
	const ends = 300
	if len(s.lines) <= 2*ends {
		return s.lines
	}
	return append(append([][]byte(nil), s.lines[:ends]...), s.lines[len(s.lines)-ends:]...)
}

// table is how one decoder would see the lines: values that belong together
// stand in one column, whatever the envelope.
type table struct {
	layout Layout // all but the fields
	cols   []*column
	rows   int        // lines that are rows
	odd    [][][]byte // cells of rows that have another number of them, unless that is rare
	share  float64    // of the lines that are not blank, 0 to 1
	clean  float64    // of the cells, those that are values, 0 to 1
}

// ragged tells rows of which some lack or add cells at the end from lines that were joined
// or cut: the values of a joined one stand in columns that are not theirs.
func (t *table) ragged() bool {
	strange := 0
	for _, cells := range t.odd {
		for k, c := range t.cols[:min(len(cells), len(t.cols))] {
			kind, x, _ := kindOf(cells[k], t.layout.Decimal)
			if room := 0.2 * (c.maximum - c.minimum); kind == isNumber && c.what == isNumber && (x < c.minimum-room || x > c.maximum+room) {
				strange++
				break
			}
		}
	}
	return len(t.odd) > 0 && strange*4 <= len(t.odd)
}

// dump leaves out the columns of a hexadecimal dump, 2F 79, where some have letters. What has the name of a quantity
// and no letters is no part of one.
func (t *table) dump() {
	var of []*column
	letters := false
	for _, c := range t.cols {
		length, letter := hexadecimal(c.cells)
		if length == 2 || length == 4 {
			letters = letters || letter
			if letter || c.said.of == none {
				of = append(of, c)
			}
		}
	}
	for _, c := range of {
		if letters {
			c.what = isOther
		}
	}
}

// hexadecimal is the length of cells that all are so many hexadecimal digits, and whether
// they have letters beside others, as the state CC has not; 0 for others.
func hexadecimal(cells [][]byte) (length int, letter bool) {
	decimal := false
	for _, cell := range cells {
		if len(cell) != len(cells[0]) {
			return 0, false
		}
		for _, d := range cell {
			if d-'0' > 9 && d-'A' > 5 {
				return 0, false
			}
			letter = letter || d >= 'A'
			decimal = decimal || d < 'A'
		}
	}
	return len(cells[0]), letter && decimal
}

// cleanness is the share of the cells that are values, of those that are not blank. A column
// that holds a word in almost every row, as a state has, is no dirt; but of a sentence, which
// blanks cut into columns as well, all words count, and so does text that has a time within.
func (t *table) cleanness() float64 {
	values, words := 0, 0
	for _, c := range t.cols {
		if t.layout.Separator == ' ' || c.states*10 < c.full*9 {
			values, words = values+c.full-c.words, words+c.words
		}
	}
	return float64(values) / float64(max(values+words, 1))
}
