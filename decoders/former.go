package decoders

import (
	"strconv"
	"strings"
)

// A heading further down may be none: a torn one, or a remark about time, voltage and
// current. Only the rows below it can tell, so what was in force before it is kept until
// one has. Nothing is worse than a night refused because of one bad line.

// former is how rows were read before a heading that they have not borne out yet.
type former struct {
	layout   *Layout
	decoder  Decoder
	stencils *stencils
	names    []string
	doubtful bool // the heading has no such columns, but may well be damaged
}

// keepFormer keeps what is in force, before a heading with these names changes it.
func (s *Stream) keepFormer(names []string) {
	if s.former == nil {
		s.former = &former{layout: s.layout, decoder: s.decoder, stencils: s.stencils, names: s.headings.names}
	}
	s.former.doubtful = s.former.torn(names)
}

// reconsider lets a line below a heading tell whether rows still are as they were before it:
// then the heading was none. err is what the line gave as the heading says.
func (s *Stream) reconsider(line []byte, err error) error {
	f := s.former
	if err == nil {
		s.former = nil
		return nil
	}
	if s.elsewhere() && !f.doubtful {
		return err
	}
	var r Reading
	if f.decoder.Decode(line, &r) != nil {
		return err
	}
	s.layout, s.decoder, s.stencils, s.plain = f.layout, f.decoder, f.stencils, f.layout.plain()
	s.headings.names, s.former, s.reading = f.names, nil, r
	return nil
}

// torn tells whether a heading in which a column is missing may be a damaged one of the same
// table. It is if it has more columns or fewer, for a row of that table would not stand below
// it; else if where a column was no other quantity stands, but what no heading has, with
// something of its name left. Dates show by themselves which column they are.
func (f *former) torn(names []string) bool {
	if len(names) != len(f.names) {
		return true
	}
	for _, field := range f.layout.Fields {
		at, _ := strconv.Atoi(field.Key)
		if at > len(names) {
			return false
		}
		switch is := understand(names[at-1]); {
		case field.Quantity == Stamp || field.Quantity == Date || field.Quantity == Clock: // or no row has one there
		case is.of == field.Quantity || is.of == understand(f.names[at-1]).of && is.of != none:
		case is.of != none || is.index || is.other:
			return false
		case !remainsOf(names[at-1], f.names[at-1]):
			return false
		}
	}
	return true
}

// remainsOf tells whether a name begins and ends as another does, with a few letters at least.
func remainsOf(name, whole string) bool {
	const few = 3
	name, whole = strings.ToLower(name), strings.ToLower(whole)
	most := min(len(name), len(whole))
	n := 0
	for n < most && name[n] == whole[n] {
		n++
	}
	end := 0
	for end < most-n && name[len(name)-1-end] == whole[len(whole)-1-end] {
		end++
	}
	return n+end >= few
}
