package analyze

import "maps"

// Readings beyond these are not a battery on a bench but a meter's way of
// saying overload (9.9E37 and 3.4E38 are usual), or a torn line.
const (
	maxVolts = 2000
	maxAmps  = 2000
)

// Reasons for which a row is not used. They are shown to people and counted.
const (
	reasonBlank      = "blank voltage and current"
	reasonBlankVolts = "blank voltage"
	reasonBlankAmps  = "blank current"
	reasonOverload   = "overload reading"
	reasonNoTime     = "no time"
	reasonDuplicate  = "duplicate row"
	reasonStill      = "time stands still"
	reasonAlone      = "far beyond the rows around it"
	reasonBackwards  = "clock went backwards"
	reasonAhead      = "clock leapt ahead for one row"
)

// usable reports whether a sample is a reading at a moment. NaN fails every comparison.
func usable(s *Sample) bool {
	return measurable(s) && Known(s.At)
}

// measurable reports whether both readings are such as a battery can have.
func measurable(s *Sample) bool {
	return s.Volts < maxVolts && s.Volts > -maxVolts && s.Amps < maxAmps && s.Amps > -maxAmps
}

// screen says why a sample cannot be used, or "" if it can.
func screen(s *Sample) string {
	if usable(s) {
		return ""
	}
	volts, amps := s.Volts == s.Volts, s.Amps == s.Amps
	switch {
	case !Known(s.At):
		return reasonNoTime
	case !volts && !amps:
		return reasonBlank
	case !volts:
		return reasonBlankVolts
	case !amps:
		return reasonBlankAmps
	}
	return reasonOverload
}

// rejections counts the rows that were not used; it keeps the first ones.
type rejections struct {
	first    []Rejection
	count    int
	byReason map[string]int
}

const rejectionsKept = 100

func (l *rejections) add(line int, reason string) {
	l.count++
	if l.byReason == nil {
		l.byReason = make(map[string]int)
	}
	l.byReason[reason]++
	if len(l.first) < rejectionsKept {
		l.first = append(l.first, Rejection{Line: line, Reason: reason})
	}
}

// clone is a copy in which nothing is nil, for JSON.
func (l *rejections) clone() rejections {
	c := rejections{append([]Rejection{}, l.first...), l.count, make(map[string]int)}
	maps.Copy(c.byReason, l.byReason)
	return c
}
