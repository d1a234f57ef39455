package decoders

import (
	"fmt"
	"math"
	"slices"
)

// fit finds the meaning of a table's columns.
func (t *table) fit(s *sample, o Options) (*Fitted, *Unfit) {
	ranged := t.prepare(o)
	tm := fitTime(t, o)
	best, second := t.guess(tm, o)
	if t.notTime(&tm, best, o) {
		return t.fit(s, o) // once more, without what was taken for the time
	}
	tm.settle(t, best, o.Span)
	if unfit := t.unfit(&tm, &best, o); unfit != nil {
		return nil, unfit
	}
	f := &Fitted{Layout: &t.layout}
	if t.pairs(best) {
		t.layout.Pair = true
		tm.spread()
		t.join(best)
		f.Evidence = append(f.Evidence, "voltage and current stand on lines of their own and are joined")
	}
	if len(tm.fields) == 0 {
		if unfit := t.untimed(f, s, best, o); unfit != nil {
			return nil, unfit
		}
	}
	t.layout.Fields = append(t.layout.Fields, tm.fields...)
	f.Evidence = append(f.Evidence, tm.evidence...)
	t.measureFields(f, best)
	t.counter(f, &tm, best)
	t.temperature(f, tm.cols, best)
	t.order()
	t.share *= t.filled(best)
	if ranged || t.layout.Kind == labelledEntry.Name && t.layout.placed() {
		best.score -= 2 // values without a name or unit are the business of columns, those with a unit are not
	}
	t.weigh(f, &tm, best, second)
	return f, nil
}

// prepare looks at the columns by themselves. It reports whether units stand in cells of their own.
func (t *table) prepare(o Options) (ranged bool) {
	t.least()
	t.study()
	t.warmLetter(o.Span)
	if t.layout.Kind == columnsEntry.Name {
		ranged = t.unitCells()
		t.clean = t.cleanness()
	}
	t.dump()
	if t.ragged() {
		t.layout.Width = 0 // it would refuse good rows
	}
	return ranged
}

// guess is which columns may be voltage and current, beside those of the time, and the next best guess.
func (t *table) guess(tm timing, o Options) (best, second guess) {
	if o.Only != Time {
		return t.single(o.Only, tm.cols), noGuess
	}
	best, second = guessPair(t, tm.cols)
	if slices.Contains(t.inSeries(best.volts), second.volts) {
		second = noGuess // another cell of the same
	}
	return best, second
}

// unfit says why a guess will not do, nil if it does.
func (t *table) unfit(tm *timing, best *guess, o Options) *Unfit {
	if tm.backwards() {
		return &Unfit{Found: t.seen() + ", the newest first: their time runs backwards", Need: "turn the log round, its last line first, with tac for instance", near: 4}
	}
	if unfit := t.refuse(best, *tm, o); unfit != nil {
		return unfit
	}
	if unfit := t.devices(tm, *best); unfit != nil {
		return unfit
	}
	return t.wrapped(*best)
}

// study looks at each column by itself, and then at what their names say beside each other.
func (t *table) study() {
	for _, c := range t.cols {
		if c.x == nil {
			c.study(t.layout.Decimal)
		}
	}
	t.siblings()
	t.levelLetter()
}

// measureFields adds voltage and current with unit and sign.
func (t *table) measureFields(f *Fitted, g guess) {
	if cells := t.inSeries(g.volts); cells != nil {
		t.addCells(f, cells)
	} else if g.volts >= 0 {
		c := t.cols[g.volts]
		u, why := unitOf(c, Volts, c.part(Volts, math.Abs(c.median)))
		t.addField(f, g.volts, Field{Quantity: Volts, Form: u}, why)
	}
	if g.amps >= 0 {
		c := t.cols[g.amps]
		part := c.part(Amps, c.size())
		if c.whole {
			part = max(part, f.part(Volts)) // whoever counts mV counts mA
		}
		u, why := unitOf(c, Amps, part)
		field := Field{Quantity: Amps, Form: u}
		if g.volts >= 0 {
			inverted, strength, reason := signOf(t.cols[g.volts], c)
			f.Told = strength >= 1
			if strength >= 1 && inverted {
				field.Negate = true
				why += "; it counts out of the battery: " + reason
			} else if strength >= 1 {
				why += "; it counts into the battery: " + reason
			} else if c.said.out {
				field.Negate = true
				why += "; its name says discharge"
			} else {
				why += "; " + untold
			}
		}
		t.addField(f, g.amps, field, why)
	}
	if g.watts >= 0 {
		u, why := unitOf(t.cols[g.watts], Watts, 0)
		t.addField(f, g.watts, Field{Quantity: Watts, Form: u}, why+"; the current is power by voltage")
	}
	f.Evidence = append(f.Evidence, g.why...)
}

// part is how often values of that size must be divided by a thousand to be a battery's
// voltage or current: once in milli-units, twice in micro-units, which only a name can prove.
func (c *column) part(q Quantity, size float64) (part int) {
	most := 1000.0 // V
	if q == Amps {
		most = 200
	}
	for size > most && (part == 0 || part == 1 && c.said.of == q) {
		size /= 1e3
		part++
	}
	return part
}

// part is in which thousandths a quantity was found to be.
func (f *Fitted) part(q Quantity) int {
	if field := f.Layout.Field(q); field != nil {
		return map[float64]int{1e3: 1, 1e6: 2}[field.unit.div]
	}
	return 0
}

// unitOf is the unit a name states, else a part of it where the size says so.
func unitOf(c *column, q Quantity, part int) (unit, why string) {
	switch b := base(q).name; {
	case c.said.unit != nil && c.said.unit.of == q && (c.unitStated() || part == 0):
		return c.said.unit.name, "its name or unit says so"
	case part > 0:
		return [...]string{"", "m", "u"}[part] + b, fmt.Sprintf("values near %.4g", c.median)
	case c.said.of == q:
		return b, "its name says so"
	default:
		return b, fmt.Sprintf("it behaves so, values near %.4g", c.median)
	}
}

func (t *table) addField(f *Fitted, col int, field Field, why string) {
	field.Key = t.cols[col].key
	if field.resolve() != nil {
		return
	}
	t.layout.Fields = append(t.layout.Fields, field)
	f.Evidence = append(f.Evidence, fmt.Sprintf("%s is %s in %s: %s", t.label(col), field.Quantity, field.Form, why))
}

// order puts the fields in the order of the line.
func (t *table) order() {
	at := func(key string) int {
		for i, c := range t.cols {
			if c.key == key {
				return i
			}
		}
		return 0
	}
	fs := t.layout.Fields
	for i := range fs {
		for j := i; j > 0 && at(fs[j].Key) < at(fs[j-1].Key); j-- {
			fs[j], fs[j-1] = fs[j-1], fs[j]
		}
	}
}

// seen says what a table looks like.
func (t *table) seen() string {
	what := fmt.Sprintf("%d values a line were found on %d lines (%s", len(t.cols), t.rows, t.layout.Kind)
	if t.layout.Separator != 0 {
		what += " between " + separatorNames[t.layout.Separator]
	}
	return what + ")"
}

// label is how a column is called in evidence.
func (t *table) label(col int) string {
	c := t.cols[col]
	switch {
	case t.layout.Kind != "columns":
		return fmt.Sprintf("%q", c.key)
	case c.name != "":
		return fmt.Sprintf("column %s (%q)", c.key, c.name)
	}
	return "column " + c.key
}

// example is a setting to fill in.
func (t *table) example() string {
	l := t.layout
	l.Fields = nil
	return l.String() + " time=KEY:s voltage=KEY:V current=KEY:A"
}
