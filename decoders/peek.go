package decoders

import "math"

// What a line tells of its time can be seen before it is taken: one that was said before is
// not to move the stream's time.

// Peek is the time that a line tells as the device wrote it, s since 1970, since midnight or since it began; NaN
// where it tells none, or where lines belong together and one cannot be looked at alone. The stream is as before.
func (s *Stream) Peek(line []byte) float64 {
	if s.layout.Kind == turnsEntry.Name || s.layout.Pair {
		return math.NaN()
	}
	var r Reading
	if s.decoder.Decode(line, &r) != nil {
		return math.NaN()
	}
	return s.told(&r)
}

// Told is the time of the last line as the device wrote it, as Peek gives it.
func (s *Stream) Told() float64 { return s.told(&s.reading) }

func (s *Stream) told(r *Reading) float64 {
	switch date := r[Date] + r[Clock]; {
	case known(r[Time]):
		return r[Time]
	case known(r[Stamp]):
		return r[Stamp]
	case known(date):
		return date
	case s.layout.Has(Date):
		return math.NaN()
	}
	return r[Clock]
}

// Dated reports whether lines tell the date with the time.
func (s *Stream) Dated() bool {
	return !s.layout.Has(Time) && (s.layout.Has(Stamp) || s.layout.Has(Date))
}

// Later reports whether a time is behind another, both as the device wrote them: of a clock without a
// date, by less than half a day.
func (s *Stream) Later(at, than float64) bool {
	if s.layout.Has(Clock) && !s.layout.Has(Date) && !s.layout.Has(Time) && !s.layout.Has(Stamp) {
		d := math.Mod(at-than+day, day)
		return d > 0 && d < day/2
	}
	return at > than
}
