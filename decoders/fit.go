package decoders

import (
	"fmt"
	"math"
	"strings"
)

// Options tell Fit what the user has stated.
type Options struct {
	Interval float64  // s between rows (--interval), 0 if not stated
	Live     bool     // lines are stamped on arrival, so a log without times will do
	Only     Quantity // Volts or Amps: the source brings this one alone; 0 (Time) for both
}

// Fitted is the decoder that was chosen and why.
type Fitted struct {
	Layout     *Layout
	Setting    string // for --decoder and configuration; Parse reads it back
	Columns    string // "time_s, voltage_V, current_A"
	Confidence float64
	Share      float64  // of the lines that are not blank, those that decode
	Evidence   []string // plain words, a field each
	RunnerUp   string   // the setting of the next best, "" where nothing comes near
	Difference string   // what would differ with it
	score      float64
}

// Unfit is the error of Fit. It wraps ErrUndecodable.
type Unfit struct {
	Found string // what was seen
	Need  string // what would settle it, with the flag
}

// Error says what was found and what to do.
func (e *Unfit) Error() string {
	return "the lines cannot be decoded: " + e.Found + "; " + e.Need
}

// Unwrap gives ErrUndecodable.
func (e *Unfit) Unwrap() error { return ErrUndecodable }

// Fit picks the decoder and the meaning of its values from a sample of lines,
// without their ends. The error is an *Unfit.
func Fit(lines [][]byte, o Options) (*Fitted, error) {
	s := &sample{lines: unmark(lines)}
	var best *Fitted
	var worst *Unfit
	check, evidence := findChecksum(dataLines(s.lines))
	if check != "" {
		s = &sample{lines: stripped(s.lines, check)}
	}
	for _, e := range All() {
		if e.survey == nil {
			continue
		}
		for _, t := range e.survey(s) {
			f, unfit := t.fit(s, o)
			if unfit != nil {
				if worst == nil || len(unfit.Found) > len(worst.Found) {
					worst = unfit
				}
				continue
			}
			if best == nil || f.score > best.score {
				best = f
			}
		}
	}
	if best == nil {
		if worst == nil {
			worst = &Unfit{nothingSeen(lines), `give --decoder, for instance 'columns separator=comma time=1:s voltage=2:V current=3:A' or 'pattern (?P<voltage>[\d.]+) V'`}
		}
		return nil, worst
	}
	best.Layout.Checksum = check
	if check != "" {
		best.Evidence = append(best.Evidence, evidence)
	}
	return best.finish(lines)
}

// finish proves the setting on the lines themselves.
func (f *Fitted) finish(lines [][]byte) (*Fitted, error) {
	f.Setting, f.Columns = f.Layout.String(), f.Layout.Describe()
	stream, err := NewStream(f.Layout)
	if err != nil {
		return nil, &Unfit{fmt.Sprintf("the setting %q came out, but: %v", f.Setting, err), "give --decoder"}
	}
	good, seen := 0, 0
	for i, l := range lines {
		if len(trim(l)) == 0 {
			continue
		}
		seen++
		if _, err := stream.Line(l, float64(i), 0); err == nil || err == ErrHalf {
			good++
		}
	}
	if good == 0 {
		return nil, &Unfit{fmt.Sprintf("the setting %q came out, but no line decodes with it", f.Setting), "give --decoder"}
	}
	f.Share = float64(good) / float64(seen)
	return f, nil
}

// unmark takes the byte order mark off the first line.
func unmark(lines [][]byte) [][]byte {
	if len(lines) > 0 && len(lines[0]) >= 3 && string(lines[0][:3]) == "\xef\xbb\xbf" {
		lines = append([][]byte{lines[0][3:]}, lines[1:]...)
	}
	return lines
}

// dataLines are those with a number in them.
func dataLines(lines [][]byte) [][]byte {
	var out [][]byte
	for _, l := range lines {
		count := 0
		for _, c := range l {
			if c-'0' <= 9 {
				count++
			}
		}
		if count*5 >= len(l) && count >= 2 {
			out = append(out, l)
		}
	}
	return out
}

func stripped(lines [][]byte, check string) [][]byte {
	out := make([][]byte, len(lines))
	for i, l := range lines {
		if p := takeApart(l); p.tail != nil && check != "none" {
			out[i] = p.body
		} else {
			out[i] = trimMarks(l)
		}
	}
	return out
}

func nothingSeen(lines [][]byte) string {
	if len(lines) == 0 {
		return "there are none"
	}
	return fmt.Sprintf("no columns, labels or JSON with numbers in them were found in %d lines, which begin with %.60q", len(lines), lines[0])
}

// fit finds the meaning of a table's columns.
func (t *table) fit(s *sample, o Options) (*Fitted, *Unfit) {
	for _, c := range t.cols {
		if c.x == nil {
			c.study(t.layout.Decimal)
		}
	}
	tm := fitTime(t)
	best, second := guessPair(t, tm.cols)
	if o.Only == Volts || o.Only == Amps {
		best = t.single(o.Only, tm.cols)
	}
	if tm.seconds != nil && !t.beside(&tm, best) { // the time of other lines
		for _, col := range tm.cols {
			t.cols[col].what = isOther
		}
		return t.fit(s, o)
	}
	tm.settle(t, best)
	f := &Fitted{Layout: &t.layout}
	if unfit := t.refuse(&best, tm, o); unfit != nil {
		return nil, unfit
	}
	if t.pairs(best) {
		t.layout.Pair = true
		f.Evidence = append(f.Evidence, "voltage and current stand on lines of their own and are joined")
	}
	if len(tm.fields) == 0 && !o.Live && o.Interval <= 0 {
		interval, remark := statedInterval(s.lines)
		if remark != nil {
			o.Interval = interval
			f.Evidence = append(f.Evidence, fmt.Sprintf("rows are %.4g s apart: the log says %q", interval, remark))
		}
	}
	if len(tm.fields) == 0 && !o.Live && o.Interval <= 0 {
		return nil, &Unfit{t.seen() + ", voltage and current among them, but no time", "state the time between rows with --interval, for instance --interval 10s"}
	}
	if len(tm.fields) == 0 {
		t.layout.Interval = o.Interval
	}
	t.layout.Fields = append(t.layout.Fields, tm.fields...)
	f.Evidence = append(f.Evidence, tm.evidence...)
	t.measureFields(f, best)
	t.counter(f, &tm, best)
	t.temperature(f, tm.cols, best)
	t.order()
	f.score = best.score + 8*t.share*t.clean*t.clean + 0.1*float64(len(t.layout.Fields))
	margin := best.score - second.score
	f.Confidence = t.clean * math.Min(1, t.share+0.3) * (1 - 0.5*math.Exp(-math.Max(0, margin))) * (1 - math.Exp(-best.score/3))
	if tm.unsure != nil {
		f.Confidence *= 0.8
		f.Difference = tm.unsure.what + " is not certain"
		f.RunnerUp = strings.Replace(t.layout.String(), ":"+tm.unsure.from, ":"+tm.unsure.to, 1)
	} else if margin < 1.5 && second.volts >= 0 {
		f.Difference = fmt.Sprintf("%s would be the voltage and %s the current", t.label(second.volts), t.label(second.amps))
	}
	return f, nil
}

// beside tells whether most rows with a voltage or current have a time.
func (t *table) beside(tm *timing, g guess) bool {
	with, all := 0, 0
	for row, at := range tm.seconds {
		if g.volts >= 0 && known(t.cols[g.volts].x[row]) || g.amps >= 0 && known(t.cols[g.amps].x[row]) {
			all++
			if known(at) {
				with++
			}
		}
	}
	return with*2 > all
}

// refuse says why a guess will not do. A current that is called something
// else is dropped where a power can stand in for it.
func (t *table) refuse(g *guess, tm timing, o Options) *Unfit {
	name := "name them with --decoder '" + t.example() + "'"
	if g.volts < 0 && g.amps < 0 || math.IsInf(g.score, -1) {
		return &Unfit{t.seen() + ", but no two of them can be voltage and current", name}
	}
	if o.Only != Time {
		return nil
	}
	if nameScore(t.cols[g.amps], Amps) == against {
		if g.watts = t.named(Watts, tm.cols); g.watts < 0 {
			return &Unfit{t.seen() + ", but none of them can be the current", name}
		}
		g.amps, g.score = -1, g.score-against
	}
	if g.score < 2 || nameScore(t.cols[g.volts], Volts) == against {
		return &Unfit{t.seen() + ", but nothing tells which are voltage and current", name}
	}
	if g.amps >= 0 && !t.pairs(*g) && !t.meet(*g) {
		return &Unfit{t.seen() + ", but voltage and current never stand together", name}
	}
	return nil
}

// named finds the column with a name for q.
func (t *table) named(q Quantity, taken []int) int {
	best, score := -1, 0.0
	for i, c := range t.cols {
		if c.what == isNumber && !contains(taken, i) && c.said.of == q && nameScore(c, q) > score {
			best, score = i, nameScore(c, q)
		}
	}
	return best
}

// meet tells whether voltage and current stand in one row, at least in half
// of the rows that have either.
func (t *table) meet(g guess) bool {
	both, one := 0, 0
	for row := range t.cols[g.volts].x {
		v, i := known(t.cols[g.volts].x[row]), known(t.cols[g.amps].x[row])
		if v && i {
			both++
		} else if v || i {
			one++
		}
	}
	return both >= one
}

// single finds the one column of a source that brings one quantity.
func (t *table) single(q Quantity, taken []int) guess {
	g := guess{volts: -1, amps: -1, watts: -1, score: math.Inf(-1)}
	for i, c := range t.cols {
		if c.what != isNumber || contains(taken, i) {
			continue
		}
		if s := asVolts(c); q == Volts && s > g.score {
			g.volts, g.score = i, s
		}
		if s := asAmps(c); q == Amps && s > g.score {
			g.amps, g.score = i, s
		}
	}
	return g
}

// pairs tells whether voltage and current never stand on the same line.
func (t *table) pairs(g guess) bool {
	if g.volts < 0 || g.amps < 0 {
		return false
	}
	both, one, turns, last := 0, 0, 0, false
	for row := range t.cols[g.volts].x {
		v, i := known(t.cols[g.volts].x[row]), known(t.cols[g.amps].x[row])
		switch {
		case v && i:
			both++
		case v || i:
			if one > 0 && v != last {
				turns++
			}
			one, last = one+1, v
		}
	}
	return one > 4*both && one > 1 && turns*10 >= (one-1)*8
}

// measureFields adds voltage and current with unit and sign.
func (t *table) measureFields(f *Fitted, g guess) {
	if g.volts >= 0 {
		c := t.cols[g.volts]
		u, why := unitOf(c, Volts, math.Abs(c.median) > 1000)
		t.addField(f, g.volts, Field{Quantity: Volts, Form: u}, why)
	}
	if g.amps >= 0 {
		c := t.cols[g.amps]
		u, why := unitOf(c, Amps, c.size() > 200)
		field := Field{Quantity: Amps, Form: u}
		if g.volts >= 0 {
			inverted, strength, reason := relate(t.cols[g.volts], c).inverted()
			if strength >= 1 && inverted {
				field.Negate = true
				why += "; it counts out of the battery: " + reason
			} else if strength >= 1 {
				why += "; it counts into the battery: " + reason
			} else if c.said.out {
				field.Negate = true
				why += "; its name says discharge"
			} else {
				why += "; positive is taken as charging, nothing in the lines tells"
			}
		}
		t.addField(f, g.amps, field, why)
	}
	if g.watts >= 0 && g.amps < 0 {
		u, why := unitOf(t.cols[g.watts], Watts, false)
		t.addField(f, g.watts, Field{Quantity: Watts, Form: u}, why+"; the current is power by voltage")
	}
	f.Evidence = append(f.Evidence, g.why...)
}

// unitOf is the unit a name states, else milli where the size says so.
func unitOf(c *column, q Quantity, large bool) (unit, why string) {
	switch b := base(q).name; {
	case c.said.unit != nil && c.said.unit.of == q:
		return c.said.unit.name, "its name or unit says so"
	case large:
		why, b = fmt.Sprintf("values near %.4g", c.median), "m"+b
		return b, why
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

// example is a setting to fill in.
func (t *table) example() string {
	l := t.layout
	l.Fields = nil
	return l.String() + " time=KEY:s voltage=KEY:V current=KEY:A"
}
