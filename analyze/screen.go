package analyze

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

// RejectLog counts the rows that were not used; it keeps the first ones.
type RejectLog struct {
	First    []Rejection
	Count    int
	ByReason map[string]int
}

const rejectionsKept = 100

func (l *RejectLog) add(line int, reason string) {
	l.Count++
	if l.ByReason == nil {
		l.ByReason = make(map[string]int)
	}
	l.ByReason[reason]++
	if len(l.First) < rejectionsKept {
		l.First = append(l.First, Rejection{Line: line, Reason: reason})
	}
}

func (l RejectLog) clone() RejectLog {
	c := RejectLog{First: append([]Rejection{}, l.First...), Count: l.Count, ByReason: make(map[string]int, len(l.ByReason))}
	for reason, n := range l.ByReason {
		c.ByReason[reason] = n
	}
	return c
}
