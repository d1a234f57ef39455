package analyze_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// A script is a charge written down so that its answers follow by arithmetic:
//
//	script(10, idle(600, 12.5), ramp(2*anHour, 12.6, 14.4, 5, 5), fade(4*anHour, 14.4, 5, anHour))
//
// is 2 h x 5 A + 5 A h (1 - exp(-4)) = 14.908 Ah, the stage changes at 7800 s.
const anHour = 3600.0

// part is a stretch of a script: how long (s), and volts and amps at each moment of it.
type part struct {
	seconds     float64
	volts, amps func(t float64) float64
}

func always(x float64) func(float64) float64 { return func(float64) float64 { return x } }

func line(from, to, seconds float64) func(float64) float64 {
	return func(t float64) float64 { return from + (to-from)*t/seconds }
}

// steady is a voltage and a current that stand still.
func steady(seconds, volts, amps float64) part { return part{seconds, always(volts), always(amps)} }

func idle(seconds, volts float64) part { return steady(seconds, volts, 0) }

// ramp goes from one voltage and current to others along straight lines.
func ramp(seconds, v0, v1, a0, a1 float64) part {
	return part{seconds, line(v0, v1, seconds), line(a0, a1, seconds)}
}

// fade holds a voltage while the current falls exponentially: amps x exp(-t/tau).
func fade(seconds, volts, amps, tau float64) part {
	return part{seconds, always(volts), func(t float64) float64 { return amps * math.Exp(-t/tau) }}
}

// faded is the charge of a fade, Ah.
func faded(seconds, amps, tau float64) float64 {
	return amps * tau / anHour * (1 - math.Exp(-seconds/tau))
}

// edges is what straight lines between rows add to a charge, Ah, where a current is
// switched on at one row (half an interval too much) and off at another (as much too
// little): all of it if the last current is nothing, none if it is as large as the
// first.
func edges(every, first, last float64) float64 { return (first - last) * every / 2 / anHour }

// settle is a rest: the voltage sinks exponentially towards its rest, no current.
func settle(seconds, from, to, tau float64) part {
	return part{seconds, func(t float64) float64 { return to + (from-to)*math.Exp(-t/tau) }, always(0)}
}

// power is a source limited to so many watts: amps = watts / volts.
func power(seconds, v0, v1, watts float64) part {
	v := line(v0, v1, seconds)
	return part{seconds, v, func(t float64) float64 { return watts / v(t) }}
}

// script writes the rows, so many seconds apart, of a meter with steps of 1 mV and
// 1 mA. A row that falls on a boundary belongs to the later part.
func script(every float64, parts ...part) []analyze.Sample {
	return metered(every, 0.001, 0.001, parts...)
}

// metered is script with the meter's steps given, V and A.
func metered(every, stepV, stepA float64, parts ...part) []analyze.Sample {
	var rows []analyze.Sample
	k, begin := 0, 0.0
	for _, p := range parts {
		for ; float64(k)*every < begin+p.seconds-1e-9; k++ {
			at := float64(k) * every
			rows = append(rows, analyze.Sample{
				At: at, Volts: rounded(p.volts(at-begin), stepV), Amps: rounded(p.amps(at-begin), stepA),
				Celsius: analyze.Unknown(), Counter: analyze.Unknown(), Line: k + 1,
			})
		}
		begin += p.seconds
	}
	return rows
}

func rounded(x, step float64) float64 { return math.Round(x/step) * step }

// without leaves out the rows from a time on until another, s.
func without(rows []analyze.Sample, from, to float64) []analyze.Sample {
	var kept []analyze.Sample
	for _, r := range rows {
		if r.At < from || r.At >= to {
			kept = append(kept, r)
		}
	}
	return kept
}

// codesOf lists a session's findings.
func codesOf(s *analyze.Session) []string {
	var list []string
	for _, f := range s.Findings {
		list = append(list, f.Code)
	}
	return list
}

// endOf is when a session's stage of that name ended, s; NaN without one.
func endOf(s *analyze.Session, name analyze.StageName) float64 {
	if g := stageOf(s, name); g != nil {
		return float64(g.EndS)
	}
	return math.NaN()
}

// stageNames lists a session's stages in order.
func stageNames(s *analyze.Session) []analyze.StageName {
	var list []analyze.StageName
	for _, g := range s.Stages {
		list = append(list, g.Stage)
	}
	return list
}

func asJSON(t testing.TB, x any) string {
	b, err := json.MarshalIndent(x, "", "  ")
	require.NoError(t, err)
	return string(b)
}
