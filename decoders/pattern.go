package decoders

import (
	"errors"
	"fmt"
	"regexp"
	"regexp/syntax"
	"strings"
)

// Pattern: a regular expression whose named groups are quantities, with the
// unit after a low line where it is not the SI one.
//
//	(?P<voltage>[\d.]+) volts, (?P<current_mA>-?\d+) mA
//
// The syntax is that of Go's regexp package (RE2). It takes linear time on any
// line, but one allocation, which the package does not let us avoid.
var patternEntry = Entry{
	Name:  "pattern",
	About: "a regular expression with named groups, (?P<voltage_V>[\\d.]+)",
	New:   newPattern,
}

type pattern struct {
	layout *Layout
	match  *regexp.Regexp
	fields []Field // by number of the group; those without a quantity have no form
	alike  bool    // all digits are alike to the expression
}

func newPattern(l *Layout) (Decoder, error) {
	if l.Pattern == "" {
		return nil, errors.New(`pattern needs a regular expression such as (?P<voltage>[\d.]+)V`)
	}
	re, err := regexp.Compile(l.Pattern)
	if err != nil {
		return nil, err
	}
	parsed, err := syntax.Parse(l.Pattern, syntax.Perl)
	if err != nil {
		return nil, err
	}
	d := &pattern{layout: l, match: re, fields: make([]Field, re.NumSubexp()+1), alike: digitsAlike(parsed)}
	known := 0
	for g, name := range re.SubexpNames() {
		if name == "" {
			continue
		}
		if d.fields[g], err = groupField(name); err != nil {
			return nil, err
		}
		known++
	}
	if known == 0 {
		return nil, fmt.Errorf("the expression has no named group; name them %s", strings.Join(quantityNames[:], ", "))
	}
	stated := l.Fields[:0:0]
	for g := range d.fields {
		if d.fields[g].Form != "" {
			d.fields[g].Negate = l.negated(d.fields[g].Quantity)
			stated = append(stated, d.fields[g])
		}
	}
	l.Fields = stated
	return d, nil
}

// negated tells whether a setting such as current=current:A:negate stands
// before the expression.
func (l *Layout) negated(q Quantity) bool {
	for i := range l.Fields {
		if l.Fields[i].Quantity == q {
			return l.Fields[i].Negate
		}
	}
	return false
}

// groupField reads a group's name: voltage, current_mA, stamp_dmy.
func groupField(name string) (Field, error) {
	word, form, _ := strings.Cut(name, "_")
	f := Field{Quantity: quantityNamed(word), Key: name, Form: form}
	if f.Quantity == none {
		return f, fmt.Errorf("group %q is no quantity; quantities are %s", name, strings.Join(quantityNames[:], ", "))
	}
	for _, t := range timeForms { // a group's name cannot hold the marks
		if strings.NewReplacer("-", "", ":", "").Replace(t) == form {
			f.Form = t
		}
	}
	return f, f.resolve()
}

// Decode reads the groups of the first match.
func (d *pattern) Decode(line []byte, r *Reading) error {
	*r = blank
	at := d.match.FindSubmatchIndex(line)
	if at == nil {
		return ErrNotMine
	}
	var err error
	for g := range d.fields {
		if f := &d.fields[g]; f.Form != "" && at[2*g] >= 0 {
			f.put(line[at[2*g]:at[2*g+1]], d.layout.Decimal, r, &err)
		}
	}
	return err
}

// digitsAlike tells whether an expression matches a text whatever its digits are:
// it names none of them, and each of its classes takes all or none.
func digitsAlike(e *syntax.Regexp) bool {
	switch e.Op {
	case syntax.OpLiteral:
		for _, c := range e.Rune {
			if c >= '0' && c <= '9' {
				return false
			}
		}
	case syntax.OpCharClass:
		for k := 0; k < len(e.Rune); k += 2 {
			low, high := e.Rune[k], e.Rune[k+1]
			if low <= '9' && high >= '0' && (low > '0' || high < '9') {
				return false
			}
		}
	}
	for _, part := range e.Sub {
		if !digitsAlike(part) {
			return false
		}
	}
	return true
}

func (d *pattern) trace(line []byte, found []value) ([]value, bool) {
	at := d.match.FindSubmatchIndex(line)
	if at == nil || !d.alike {
		return nil, false
	}
	found = append(found, value{nil, line})
	for g := range d.fields {
		if f := &d.fields[g]; f.Form != "" && at[2*g] >= 0 {
			found = append(found, value{f, line[at[2*g]:at[2*g+1]]})
		}
	}
	return found, true
}
