package decoders

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Parse reads a setting; "auto" is none, it asks for Fit. Errors say which word is wrong and what it may be.
func Parse(setting string) (*Layout, error) {
	setting = strings.TrimSpace(setting)
	kind, rest, _ := strings.Cut(setting, " ")
	l := &Layout{Kind: kind, Decimal: '.'}
	entry := entryNamed(kind)
	if entry == nil {
		return nil, fmt.Errorf("decoder %q is not known; known are auto, %s", kind, strings.Join(entryNames(), ", "))
	}
	for rest = strings.TrimSpace(rest); rest != ""; rest = strings.TrimSpace(rest) {
		if kind == patternEntry.Name && !strings.HasPrefix(rest, "match=") && !optionFirst(rest) {
			rest = "match=" + rest // the expression alone
		}
		if p, ok := strings.CutPrefix(rest, "match="); ok {
			l.Pattern, rest = p, ""
			continue
		}
		word, tail, err := cutWord(rest)
		if err != nil {
			return nil, fmt.Errorf("decoder setting %q: %w", setting, err)
		}
		if err := l.option(word); err != nil {
			return nil, fmt.Errorf("decoder setting %q: %w", setting, err)
		}
		rest = tail
	}
	if _, err := entry.New(l); err != nil {
		return nil, fmt.Errorf("decoder setting %q: %w", setting, err)
	}
	return l, nil
}

// patternOptions may stand before an expression.
var patternOptions = []string{"decimal", "signs", "thousands", "interval", "direction", "pair", "checksum"}

// optionFirst tells whether text begins with name=.
func optionFirst(s string) bool {
	name, _, ok := strings.Cut(s, "=")
	if !ok {
		return false
	}
	return slices.Contains(patternOptions, name) || quantityNamed(name) != none
}

// cutWord cuts off the first word; blanks between quotes belong to it.
func cutWord(s string) (word, rest string, err error) {
	quoted := false
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '\\' && quoted:
			i++
		case s[i] == '"':
			quoted = !quoted
		case s[i] == ' ' && !quoted:
			return s[:i], s[i:], nil
		}
	}
	if quoted {
		return "", "", fmt.Errorf("the quote in %q does not end", s)
	}
	return s, "", nil
}

func (l *Layout) option(word string) error {
	name, value, ok := strings.Cut(word, "=")
	if !ok {
		return fmt.Errorf("%q has no =, want words like voltage=2:V", word)
	}
	if q := quantityNamed(name); q != none {
		return l.field(q, value)
	}
	switch name {
	case "separator":
		return l.separator(value)
	case "before":
		if l.Before = value == "time"; !l.Before {
			return fmt.Errorf("before %q: only time may stand before a row", value)
		}
	case "decimal":
		l.Decimal = '.'
		if value == "comma" {
			l.Decimal = ','
		} else if value != "point" {
			return fmt.Errorf("decimal %q is neither point nor comma", value)
		}
	case "thousands":
		if groupingNamed(value) == nil {
			return fmt.Errorf("thousands %q is not one of point, comma, apostrophe, blank", value)
		}
		l.Grouping = value
	case "signs":
		l.Typeset = value == "typeset"
		if !l.Typeset && value != "plain" {
			return fmt.Errorf("signs %q are neither typeset nor plain", value)
		}
	case "width":
		n, err := strconv.Atoi(value)
		if err != nil || n < 1 || n > maxColumns {
			return fmt.Errorf("width %q is not a number of columns from 1 to %d", value, maxColumns)
		}
		l.Width = n
	case "stops":
		return l.stops(value)
	case "pair":
		l.Pair = value == "yes"
		if value != "yes" && value != "no" {
			return fmt.Errorf("pair %q is neither yes nor no", value)
		}
	case "direction":
		if n, err := strconv.Atoi(value); value != anywhere && (err != nil || n < 1 || n > maxColumns || l.Kind != columnsEntry.Name) {
			return fmt.Errorf("direction %q is neither line nor, of columns, the number of one", value)
		}
		l.Direction = value
	case "interval":
		return l.interval(value)
	case "checksum":
		if checksumNamed(value) == nil {
			return fmt.Errorf("checksum %q is not one of %s", value, strings.Join(checksumNames(), ", "))
		}
		l.Checksum = value
	default:
		return fmt.Errorf("%q is no option and no quantity (quantities are %s)", name, strings.Join(quantityNames[:], ", "))
	}
	return nil
}

func (l *Layout) separator(value string) error {
	for sep, name := range separatorNames {
		if name == value {
			l.Separator = sep
			return nil
		}
	}
	return fmt.Errorf("separator %q is not one of comma, semicolon, tab, blanks, bar, colon", value)
}

func (l *Layout) stops(value string) error {
	last := 0
	l.Stops = nil // of two words the last one counts
	for _, text := range strings.Split(value, ".") {
		n, err := strconv.Atoi(text)
		if err != nil || n <= last || len(l.Stops) == maxColumns {
			return fmt.Errorf("stops %q are not rising numbers like 8.16.24", value)
		}
		l.Stops, last = append(l.Stops, n), n
	}
	return nil
}

func (l *Layout) interval(value string) error {
	x, n := number([]byte(value), '.')
	u := unitNamed([]byte(value[n:]), Time)
	if u == nil && n == len(value) {
		u = base(Time)
	}
	if n == 0 || u == nil || x <= 0 {
		return fmt.Errorf("interval %q is not a time like 10s", value)
	}
	l.Interval = u.si(x)
	return nil
}

func quantityNamed(name string) Quantity {
	for q, n := range quantityNames {
		if n == name {
			return Quantity(q)
		}
	}
	return none
}

// field reads KEY:UNIT[:negate].
func (l *Layout) field(q Quantity, text string) error {
	f := Field{Quantity: q}
	rest := text
	if strings.HasPrefix(text, `"`) {
		prefix, err := strconv.QuotedPrefix(text)
		if err != nil {
			return fmt.Errorf("%s=%s: the quote does not end", q, text)
		}
		f.Key, _ = strconv.Unquote(prefix)
		rest = text[len(prefix):]
	} else if i := strings.IndexByte(text, ':'); i >= 0 {
		f.Key, rest = text[:i], text[i:]
	} else {
		f.Key, rest = text, ""
	}
	rest = strings.TrimPrefix(rest, ":")
	if r, ok := strings.CutSuffix(rest, ":negate"); ok {
		f.Negate, rest = true, r
	}
	f.Form = rest
	if err := f.resolve(); err != nil {
		return err
	}
	l.Fields = append(l.Fields, f)
	return nil
}

// resolve turns the form's name into what it means.
func (f *Field) resolve() error {
	if f.Form == "" {
		switch f.Quantity {
		case Clock:
			f.Form = formHMS
		case Date, Stamp:
			f.Form = formYMD
		default:
			f.Form = base(f.Quantity).name
		}
	}
	if f.Quantity <= Stamp && slices.Contains(timeForms, f.Form) {
		return nil
	}
	if f.Quantity == Clock {
		if f.unit = unitNamed([]byte(f.Form), Time); f.unit != nil {
			return nil
		}
	}
	if f.Quantity == Clock || f.Quantity == Date || f.Quantity == Stamp {
		return fmt.Errorf("%s: form %q is not one of %s", f.Quantity, f.Form, strings.Join(timeForms, ", "))
	}
	if f.unit = unitNamed([]byte(f.Form), f.Quantity); f.unit == nil {
		f.unit = partUnit(f.Form, f.Quantity)
	}
	if f.unit == nil {
		return fmt.Errorf("%s: unit %q is not known, want one like %s", f.Quantity, f.Form, base(f.Quantity).name)
	}
	return nil
}

func entryNamed(name string) *Entry {
	for _, e := range All() {
		if e.Name == name {
			return &e
		}
	}
	return nil
}

func entryNames() []string {
	var names []string
	for _, e := range All() {
		names = append(names, e.Name)
	}
	return names
}
