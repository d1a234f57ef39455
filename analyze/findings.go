package analyze

import (
	"maps"
	"slices"
)

// Finding codes.
const (
	CodeStalled           = "stalled"
	CodeRunningLong       = "running-long"
	CodeOverCapacity      = "over-capacity"
	CodeVoltageNotReached = "voltage-not-reached"
	CodeNoTaper           = "no-taper"
	CodeThermalRunaway    = "thermal-runaway"
	CodeOverTemperature   = "over-temperature"
	CodeOverVoltage       = "over-voltage"
	CodeUnderTemperature  = "under-temperature"
	CodeReversePolarity   = "reverse-polarity"
	CodeOpenCircuit       = "open-circuit"
	CodeCurrentDropped    = "current-dropped"
	CodeAcceptsLittle     = "accepts-little"
	CodeInterrupted       = "interrupted"
	CodePowerLimited      = "power-limited"
	CodePulsed            = "pulsed"
	CodeMeterSilent       = "meter-silent"
	CodeMeterFrozen       = "meter-frozen"
	CodeDataGap           = "data-gap"
	CodeClockStep         = "clock-step"
	CodeOverloadReading   = "overload-reading"
)

var severities = map[string]Severity{
	CodeStalled: Warning, CodeRunningLong: Warning, CodeOverCapacity: Warning, CodeVoltageNotReached: Warning,
	CodeNoTaper: Warning, CodeThermalRunaway: Alarm, CodeOverTemperature: Alarm, CodeOverVoltage: Alarm,
	CodeUnderTemperature: Alarm, CodeReversePolarity: Alarm, CodeOpenCircuit: Alarm, CodeCurrentDropped: Warning,
	CodeAcceptsLittle: Note, CodeInterrupted: Note, CodePowerLimited: Note, CodePulsed: Note,
	CodeMeterSilent: Warning, CodeMeterFrozen: Warning, CodeDataGap: Note, CodeClockStep: Note, CodeOverloadReading: Note,
}

// FindingCodes lists every code with its usual severity.
func FindingCodes() map[string]Severity { return maps.Clone(severities) }

// findings are those of one charge, one entry a code: what comes again is the
// same finding with a newer message, so that a meter that stutters all night
// fills neither memory nor the page.
type findings struct {
	list []Finding
}

// raise notes a finding that holds since at. It reports whether it is new, or
// holds again after it had cleared.
func (f *findings) raise(code string, at float64, message string) (news bool) {
	return f.raiseAs(code, severities[code], at, message)
}

func (f *findings) raiseAs(code string, s Severity, at float64, message string) (news bool) {
	g := f.find(code)
	if g == nil {
		f.list = append(f.list, Finding{Code: code, Severity: s, AtS: Number(at), EndS: Number(Unknown()), Message: message})
		return true
	}
	news = Known(g.EndS) || g.Severity != s
	g.Message, g.EndS, g.Severity = message, Number(Unknown()), s
	return news
}

// happened notes something of a moment, or that is over by the time it is seen. What
// happens again goes on until the end of the last time; only the first is news.
func (f *findings) happened(code string, at, end float64, message string) (news bool) {
	news = !Known(f.first(code))
	f.raise(code, at, message)
	f.clear(code, end)
	return news
}

// clear ends a finding that holds; it reports whether there was one.
func (f *findings) clear(code string, at float64) bool {
	if !f.holds(code) {
		return false
	}
	f.find(code).EndS = Number(at)
	return true
}

// withdraw takes a finding back that should not have been raised.
func (f *findings) withdraw(code string) {
	f.list = slices.DeleteFunc(f.list, func(g Finding) bool { return g.Code == code })
}

// find is the finding of a code as it stands; nil if there is none.
func (f *findings) find(code string) *Finding {
	for k := range f.list {
		if f.list[k].Code == code {
			return &f.list[k]
		}
	}
	return nil
}

// holds reports whether a finding is there and has not cleared.
func (f *findings) holds(code string) bool {
	g := f.find(code)
	return g != nil && !Known(g.EndS)
}

// first is when a finding began, or NaN if it never did.
func (f *findings) first(code string) float64 {
	if g := f.find(code); g != nil {
		return float64(g.AtS)
	}
	return Unknown()
}

// merge adds what others found. What holds there holds, though it is over here.
func (f *findings) merge(o *findings) {
	for _, g := range o.list {
		switch mine := f.find(g.Code); {
		case mine == nil:
			f.list = append(f.list, g)
		case Known(mine.EndS) && !Known(g.EndS):
			mine.Severity, mine.Message, mine.EndS = g.Severity, g.Message, g.EndS
		}
	}
}

// goOn takes over what has not cleared.
func (f *findings) goOn(before *findings) {
	for _, g := range before.list {
		if !Known(g.EndS) {
			f.list = append(f.list, g)
		}
	}
}

func (f *findings) clone() findings { return findings{slices.Clone(f.list)} }
