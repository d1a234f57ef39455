package decoders

import (
	"fmt"
	"strconv"
	"strings"
)

// Layout is how a log is laid out: its envelope and the meaning of the values
// in it. As text it is the decoder's setting:
//
//	columns separator=comma time=1:s voltage=2:V current=3:mA:negate
type Layout struct {
	Kind      string  // the name of an Entry
	Separator byte    // columns: what stands between; ' ' is any run of blanks
	Before    bool    // columns: the first is a time before the row
	Stops     []int   // columns: where each ends, counted in bytes, in a table of fixed width
	Decimal   byte    // '.' or ','
	Grouping  string  // what stands between groups of three digits, "" for nothing
	Typeset   bool    // rows have signs of typeset text
	Width     int     // columns: how many there are, 0 if that varies
	Direction string  // where a line tells which way a current without a sign flows: line, or a column; "" for nowhere
	Pair      bool    // voltage and current stand on lines of their own, to be joined
	Interval  float64 // s between rows where neither log nor arrival tells, 0 if not stated
	Checksum  string  // name of the tail's checksum, "" for none or unknown
	Pattern   string  // pattern: the regular expression
	Fields    []Field
}

// Field says where a quantity stands and how it is written.
type Field struct {
	Quantity Quantity
	Key      string // number of the column from 1, label, path or group
	Form     string // unit, or form of a time
	Negate   bool   // current that counts out of the battery

	unit *unit
	adds bool // to a field before it of the same quantity
}

var separatorNames = map[byte]string{',': "comma", ';': "semicolon", '\t': "tab", ' ': "blanks", '|': "bar", ':': "colon"}

// String is the setting, which Parse reads back.
func (l *Layout) String() string {
	var b strings.Builder
	b.WriteString(l.Kind)
	if l.Separator != 0 {
		b.WriteString(" separator=" + separatorNames[l.Separator])
	}
	if l.Before {
		b.WriteString(" before=time")
	}
	for i, stop := range l.Stops {
		if i == 0 {
			b.WriteString(" stops=")
		} else {
			b.WriteByte('.')
		}
		b.WriteString(strconv.Itoa(stop))
	}
	if l.Width > 0 {
		fmt.Fprintf(&b, " width=%d", l.Width)
	}
	if l.Decimal == ',' {
		b.WriteString(" decimal=comma")
	}
	if l.Typeset {
		b.WriteString(" signs=typeset")
	}
	if l.Grouping != "" {
		b.WriteString(" thousands=" + l.Grouping)
	}
	if l.Checksum != "" {
		b.WriteString(" checksum=" + l.Checksum)
	}
	if l.Direction != "" {
		b.WriteString(" direction=" + l.Direction)
	}
	if l.Pair {
		b.WriteString(" pair=yes")
	}
	if l.Interval > 0 {
		b.WriteString(" interval=" + strconv.FormatFloat(l.Interval, 'g', -1, 64) + "s")
	}
	for i := range l.Fields {
		f := &l.Fields[i]
		fmt.Fprintf(&b, " %s=%s:%s", f.Quantity, quoteKey(f.Key), f.Form)
		if f.Negate {
			b.WriteString(":negate")
		}
	}
	if l.Pattern != "" {
		b.WriteString(" match=" + l.Pattern) // to the end, blanks and all
	}
	return b.String()
}

func quoteKey(k string) string {
	if k == "" || strings.ContainsAny(k, " :=\"\t") || strconv.Quote(k) != `"`+k+`"` {
		return strconv.Quote(k)
	}
	return k
}

// Field is where the layout tells q, nil for nowhere; the first part of it where it has several.
func (l *Layout) Field(q Quantity) *Field {
	for i := range l.Fields {
		if l.Fields[i].Quantity == q {
			return &l.Fields[i]
		}
	}
	return nil
}

// Has reports whether the layout tells q.
func (l *Layout) Has(q Quantity) bool { return l.Field(q) != nil }

// Timed reports whether the log itself tells the time.
func (l *Layout) Timed() bool { return l.Has(Time) || l.Has(Clock) || l.Has(Stamp) }

// Describe names the values in the order of the line, with their units:
// "time_s, voltage_V, current_A".
func (l *Layout) Describe() string {
	var names []string
	for i := range l.Fields {
		f := &l.Fields[i]
		name := f.Quantity.String() + "_" + f.Form
		if f.Negate {
			name = "-" + name
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}
