package decoders

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Turns: one bare value a line, and the lines take turns.
//
//	13.82
//	3.500
//	13.83
//	3.499
//
// Nothing in a line tells what it is, so lines are counted. Where one was lost, the
// next turns look like the usual one turned round, and the count goes on from there.
// Written from the trade's habits; not yet seen on hardware.
var turnsEntry = Entry{
	Name:   "turns",
	About:  "one bare value a line, voltage and current by turns",
	New:    newTurns,
	survey: surveyTurns,
}

const mostTurns = 6 // lines in one turn

type turns struct {
	layout *Layout
	at     [mostTurns]*Field
	n      int              // lines in a turn
	place  int              // of the next line
	now    turn             // as far as it has come
	usual  turn             // what turns look like
	odd    turn             // the last that did not
	began  bool             // usual is known
	faults [mostTurns]error // of the values of this turn
	r      Reading
}

type turn [mostTurns]float64

func newTurns(l *Layout) (Decoder, error) {
	if l.Width < 2 || l.Width > mostTurns {
		return nil, fmt.Errorf("turns need width=, the lines in one turn, from 2 to %d", mostTurns)
	}
	if len(l.Fields) == 0 {
		return nil, fmt.Errorf("turns need a field such as voltage=1:V")
	}
	d := &turns{layout: l, n: l.Width, r: blank}
	for i := range l.Fields {
		f := &l.Fields[i]
		k, err := strconv.Atoi(f.Key)
		if err != nil || k < 1 || k > l.Width {
			return nil, fmt.Errorf("%s: %q is not a line from 1 to %d", f.Quantity, f.Key, l.Width)
		}
		if d.at[k-1] != nil {
			return nil, fmt.Errorf("line %d is %s and %s at once", k, d.at[k-1].Quantity, f.Quantity)
		}
		d.at[k-1] = f
	}
	return d, nil
}

// Decode keeps a value until the last of its turn has come.
func (d *turns) Decode(line []byte, r *Reading) error {
	*r = blank
	x, err := loneValue(line, d.layout.Decimal)
	if err == ErrNotMine {
		return err
	}
	f := d.at[d.place]
	d.now[d.place], d.faults[d.place] = x, nil
	if f != nil {
		d.r[f.Quantity], d.faults[d.place] = f.value(line, d.layout.Decimal)
	}
	if d.place++; d.place < d.n {
		return ErrHalf
	}
	d.place = 0
	*r, d.r = d.r, blank
	for _, fault := range d.faults[:d.n] {
		if fault != nil {
			return fault
		}
	}
	if lost := d.behind(); lost > 0 {
		*r = blank
		d.turnRound(lost)
		return ErrTorn
	}
	return nil
}

// behind tells that lines were lost: how many of this turn belong to the next, 0 for
// none.
func (d *turns) behind() int {
	own, best, shift := d.far(&d.usual, 0), math.Inf(1), 0
	for k := 1; k < d.n; k++ {
		if far := d.far(&d.usual, k); far < best {
			best, shift = far, k
		}
	}
	shift = d.n - shift // so many of this turn's lines belong to the next
	switch {
	case d.began && best < 0.15 && best*5 < own:
		return shift
	case !d.began, own < 0.3, d.far(&d.odd, 0) < 0.1: // as usual, or usual from now on
		d.usual, d.began = d.now, true
	}
	d.odd = d.now
	return 0
}

// far is how little the values of this turn are like another's, begun k lines later: 0
// for the same, about 2 where none is like it.
func (d *turns) far(other *turn, k int) (sum float64) {
	for i := range d.n {
		a, b := d.now[i], other[(i+k)%d.n]
		if size := math.Abs(a) + math.Abs(b); size > 0 {
			sum += math.Abs(a-b) / size
		}
	}
	return sum
}

// turnRound begins the turn anew with the lines that belong to the next one, which is
// lost too: they were read as what they are not.
func (d *turns) turnRound(lost int) {
	copy(d.now[:], d.now[d.n-lost:d.n])
	for d.place = 0; d.place < lost; d.place++ {
		d.faults[d.place] = ErrTorn
	}
}

// loneValue reads a line that is one value, or a word in its place. A line that is
// one but for a damaged character counts as one: lines are counted here.
func loneValue(line []byte, decimal byte) (float64, error) {
	line = trim(line)
	digits := 0
	for _, c := range line {
		if c-'0' <= 9 {
			digits++
		}
	}
	x, n := number(line, decimal)
	switch {
	case n > 0 && notANumber(x):
		return math.NaN(), nil
	case n > 0 && overloaded(x):
		return math.NaN(), ErrOverload
	case n > 0 && (n == len(line) || unitNamed(bytes.TrimLeft(line[n:], " "), none) != nil):
		return x, nil
	case digits == 0 && foldIn(line, blankWords):
		return math.NaN(), nil
	case digits == 0 && foldIn(bytes.TrimLeft(line, "+-"), overloadWords):
		return math.NaN(), ErrOverload
	case digits >= 2 && digits*2 > len(line) && len(line) <= 12 && !bytes.ContainsAny(line, ": /,;="):
		return math.NaN(), ErrNumber
	}
	return 0, ErrNotMine
}

// surveyTurns finds lines that are one value each, and how many make a turn.
func surveyTurns(s *sample) []*table {
	decimal := (&Layout{}).decimalOf(s.probe())
	var lines [][]byte
	var x []float64
	seen := 0
	for _, l := range s.all {
		if MayBeRow(l) || len(trim(l)) == 1 {
			seen++
		}
		if v, err := loneValue(l, decimal); err != ErrNotMine {
			lines, x = append(lines, l), append(x, v)
		}
	}
	n := turnLength(x)
	if n == 0 || len(lines)*10 < seen*8 {
		return nil
	}
	t := &table{layout: Layout{Kind: "turns", Width: n, Decimal: decimal}, rows: len(lines) / n, clean: 1}
	for c := range n {
		col := &column{key: strconv.Itoa(c + 1)}
		for row := range t.rows {
			col.cells = append(col.cells, lines[row*n+c])
		}
		t.cols = append(t.cols, col)
	}
	t.share = float64(len(lines)) / float64(max(seen, len(lines)))
	return []*table{t}
}

// turnLength is after how many lines the values come back to where they were, 0 for
// never.
func turnLength(x []float64) int {
	if len(x) < 8 {
		return 0
	}
	apart := func(n int) float64 {
		var far []float64
		for k := n; k < len(x); k++ {
			if d := math.Abs(x[k] - x[k-n]); d == d {
				far = append(far, d)
			}
		}
		slices.Sort(far)
		return quantile(far, 0.5)
	}
	next := apart(1)
	least := math.Inf(1)
	var by [mostTurns + 1]float64
	for n := 2; n <= mostTurns; n++ {
		by[n] = apart(n)
		least = math.Min(least, by[n])
	}
	for n := 2; n <= mostTurns; n++ {
		if by[n] <= 2*least && by[n] < 0.25*next {
			return n
		}
	}
	return 0
}
