package decoders

import "strconv"

// Below a heading that comes again the time may be of another kind: a date, where seconds
// had been counted. Its name tells little of that, "time" is either; the rows below do.
//
//	time_s,voltage_V,current_A
//	20,12.61,0.450
//	timestamp,voltage_V,current_A
//	2026-03-14T20:40:05Z,12.61,0.451

// provenBy is how many rows must be read as a row below a heading says before the kind of
// time is settled: that row may have been torn.
const provenBy = 2

// retime lets a row below a heading that cannot be read tell the kind of its time. err is what
// the row gave as it was to be read.
func (s *Stream) retime(line []byte, err error) error {
	if err == nil {
		s.unproven--
		return nil
	}
	if err != ErrNumber && err != ErrNotMine || s.elsewhere() {
		return err
	}
	was := s.layout
	l := was.timedAs(line, s.headings.names)
	if l == nil || s.follow(entryNamed(l.Kind), l) != nil {
		return err
	}
	if s.decoder.Decode(line, &s.reading) != nil {
		_ = s.follow(entryNamed(was.Kind), was) // the fields are those it had
		return err
	}
	s.clock, s.anew, s.unproven = timer{}, true, provenBy
	return nil
}

// timedAs is the layout with the kind of time that a row has where its time stands, below
// these names; nil where that is no other, or stands in several columns.
func (l *Layout) timedAs(line []byte, names []string) *Layout {
	at := -1
	for i := range l.Fields {
		switch l.Fields[i].Quantity {
		case Time, Clock, Stamp:
			if at >= 0 {
				return nil
			}
			at = i
		case Date:
			return nil
		}
	}
	if at < 0 {
		return nil
	}
	was := l.Fields[at]
	c, ok := l.timeColumn(line, names, was.Key)
	if !ok {
		return nil
	}
	is, ok := c.timeOfOne()
	if is.Key = was.Key; !ok || is.Quantity == was.Quantity && is.Form == was.Form || is.resolve() != nil {
		return nil
	}
	other := *l
	other.Fields = append([]Field(nil), l.Fields...)
	other.Fields[at], other.Stops = is, nil
	return &other
}

// timeColumn is a column of one row, false where the row has no such column.
func (l *Layout) timeColumn(line []byte, names []string, key string) (*column, bool) {
	var room [maxColumns][]byte
	cells, n := l.cut(line, room[:0])
	for k := range min(n, len(cells)) {
		c := &column{key: strconv.Itoa(k + 1)}
		if c.key != key {
			continue
		}
		if k < len(names) {
			c.name = names[k]
		}
		c.cells = [][]byte{cells[k]}
		c.study(l.Decimal)
		return c, true
	}
	return nil, false
}

// timeOfOne is the kind of time in a column of one cell, false where it has none.
func (c *column) timeOfOne() (f Field, ok bool) {
	cell := trim(c.cells[0])
	switch c.what {
	case isStamp:
		var days dayCount
		form, _ := days.add(cell)
		if form == "" {
			form, _, _ = days.order()
		}
		return Field{Quantity: Stamp, Form: form}, true
	case isClock:
		q, form, _ := clockForm(c, 0)
		return Field{Quantity: q, Form: form}, true
	case isNumber:
		if form := unixForm(&c.stats); form != "" {
			return Field{Quantity: Stamp, Form: form}, true
		}
		f = Field{Quantity: Time, Form: "s"}
		if u := c.said.unit; u != nil && u.of == Time {
			f.Form = u.name
		}
		return f, true
	}
	return f, false
}

// Relay lays the lines from here on out in another way. Time goes on from the last sample. An error
// leaves all as it was.
func (s *Stream) Relay(l *Layout) error {
	entry := entryNamed(l.Kind)
	if entry == nil {
		return ErrUndecodable
	}
	if err := s.follow(entry, l); err != nil {
		return err
	}
	s.clock, s.pair, s.headings, s.former = timer{}, pair{}, headings{}, nil
	s.unproven, s.anew = 0, true
	return nil
}

// startOver lets another time go on from the last sample by the difference of the arrivals.
func (s *Stream) startOver(device, arrival float64) {
	told := known(device)
	if !told && s.layout.Timed() {
		return // this row tells none
	}
	if s.anew = false; !s.heard {
		return
	}
	at := s.at + max(0, arrival-s.came)
	if !told {
		s.shift = at - arrival
		return
	}
	s.offset, s.back = at-device, false
	s.last, s.before = device-s.step, device-2*s.step
}
