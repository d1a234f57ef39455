package logbook

import (
	"fmt"
	"time"

	"amphora/analyze"
)

// What a hydrometer and a thermometer show on a battery. The limits are our choice,
// without a source: full cells of cold countries have 1.30 and flat ones 1.10, warmth
// and cold move that by 0.03.
const (
	lightestAcid, heaviestAcid = 1.05, 1.34
	coldestKept, hottestKept   = -40.0, 60.0 // °C
)

// Mistyped says what of a reading looks so, a piece each; empty for most. It is noted
// all the same, since the clock, or what is known of the battery, may be what is wrong.
func (r Reading) Mistyped(b Battery, now time.Time) []string {
	told := toCome([]string{}, &r.At, now)
	say := func(format string, args ...any) { told = append(told, fmt.Sprintf(format, args...)) }
	if r.Volts != nil && *r.Volts < 0 {
		say("%.4g V has the wrong sign: the leads were crossed, or the battery is reversed", *r.Volts)
	}
	if r.Volts != nil && b.Cells != nil && b.Chemistry != nil {
		if most := analyze.HighestVolts(*b.Chemistry, *b.Cells); *r.Volts > most {
			say("%.4g V is more than the %.4g V that %s of %s are ever charged to", *r.Volts, most, cellCount(*b.Cells), *b.Chemistry)
		}
	}
	if g := r.Gravity; g != nil {
		if *g < lightestAcid || *g > heaviestAcid {
			say("a gravity of %.4g is outside of the %.2f to %.2f that the acid of batteries has", *g, lightestAcid, heaviestAcid)
		}
		if c := b.Chemistry; c != nil && *c != analyze.LeadFlooded && *c != analyze.NiCd {
			say("a %s battery has nothing in it that could be weighed", *c)
		}
	}
	if c := r.Celsius; c != nil && (*c < coldestKept || *c > hottestKept) {
		say("%.4g °C is outside of the %g to %g °C that batteries are kept at%s", *c, coldestKept, hottestKept, inFahrenheit(*c))
	}
	return told
}

// Mistyped says the same of what is known of a battery.
func (b Battery) Mistyped(now time.Time) []string {
	told := toCome([]string{}, b.Retired, now)
	if day := now.AddDate(0, 0, 1).Format(time.DateOnly); len(b.Bought) <= len(day) && string(b.Bought) > day[:len(b.Bought)] {
		told = append(told, fmt.Sprintf("bought %s is still to come by this clock", b.Bought))
	}
	return told
}

// NotedReading and NotedBattery answer somebody who noted something, with what looks
// mistyped in it.
type (
	NotedReading struct {
		Reading
		Mistyped []string `json:"mistyped,omitempty"`
	}
	NotedBattery struct {
		Battery
		Mistyped []string `json:"mistyped,omitempty"`
	}
)

// Noted is the answer to a reading of a battery.
func (r Reading) Noted(b Battery, now time.Time) NotedReading {
	return NotedReading{r, r.Mistyped(b, now)}
}

// Noted is the answer to what was said of a battery.
func (b Battery) Noted(now time.Time) NotedBattery { return NotedBattery{b, b.Mistyped(now)} }

// toCome adds that a time is later than now. A minute is allowed for: two clocks differ.
func toCome(told []string, t *time.Time, now time.Time) []string {
	if t == nil || !t.After(now.Add(time.Minute)) {
		return told
	}
	return append(told, analyze.TimeOfDay(t.In(now.Location()), "2006-01-02 15:04")+" is still to come by this clock")
}

// inFahrenheit adds what a hot reading would be, taken for one in Fahrenheit.
func inFahrenheit(number float64) string {
	if number < hottestKept {
		return ""
	}
	return fmt.Sprintf("; %.4g °F would be %.3g °C", number, (number-32)/1.8)
}

func cellCount(n int) string {
	if n == 1 {
		return "1 cell"
	}
	return fmt.Sprintf("%d cells", n)
}
