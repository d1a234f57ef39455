package decoders

import (
	"fmt"

	"amphora/analyze"
)

// untold is said of a current whose sign the lines do not tell.
const untold = "positive is taken as charging, nothing in the lines tells"

// SeeSign looks at more samples than Fit was given lines, as its layout read them, for which
// way the current counts: a log may begin with an hour of rest. True where they tell it; the
// layout then reads the current so.
func (f *Fitted) SeeSign(samples []analyze.Sample) bool {
	field := f.Layout.Field(Amps)
	if field == nil {
		return false
	}
	var volts, amps column
	for _, s := range samples {
		volts.x, amps.x = append(volts.x, s.Volts), append(amps.x, s.Amps)
	}
	volts.measure(volts.x)
	amps.measure(amps.x)
	inverted, strength, why := signOf(&volts, &amps)
	if strength < 1 {
		return false
	}
	f.Told = true
	told := "it counts into the battery"
	if inverted {
		field.Negate = !field.Negate
	}
	if field.Negate {
		told = "it counts out of the battery"
	}
	for i, e := range f.Evidence {
		if at := len(e) - len(untold); at >= 0 && e[at:] == untold {
			f.Evidence[i] = fmt.Sprintf("%s%s: further on %s", e[:at], told, why)
		}
	}
	f.Setting, f.Columns = f.Layout.String(), f.Layout.Describe()
	return true
}
