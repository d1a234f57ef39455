package analyze_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"amphora/analyze"
)

// habit is what a made-up charger and meter do, night after night, a row a second.
type habit struct {
	noise  float64 // V and A, one standard deviation
	jitter float64 // s either way, of the logger's clock
	pulse  int     // s from one pause of 4 s to the next; 0 is none
}

var habits = []struct {
	name string
	habit
}{
	{"regular", habit{noise: 0.002, jitter: 0.002}},
	{"pulsed", habit{noise: 0.002, jitter: 0.002, pulse: 30}},
	{"noisy", habit{noise: 0.05, jitter: 0.05}},
}

// nightly is two weeks and more of nights: 6 h of constant current, 3 h of constant
// voltage, 2 h of rest.
func nightly(h habit, rows int) []analyze.Sample {
	r := rand.New(rand.NewPCG(1, 1))
	const constant, taper, night = 6 * 3600, 9 * 3600, 11 * 3600
	list := make([]analyze.Sample, rows)
	for k := range list {
		t := float64(k % night)
		volts, amps := 12.75+1.65*math.Exp(-(t-taper)/900), 0.0
		switch {
		case t < constant:
			s := t / constant
			volts, amps = 12.2+2.2*(0.55*s+0.45*s*s*s), 5
			if h.pulse > 0 && k%h.pulse < 4 {
				amps = 0
			}
		case t < taper:
			volts, amps = 14.4, 0.12+4.88*math.Exp(-(t-constant)/2600)
		}
		list[k] = analyze.Sample{
			At:    rounded(float64(k)+h.jitter*(2*r.Float64()-1), 0.001),
			Volts: rounded(volts+h.noise*r.NormFloat64(), 0.001), Amps: rounded(amps+h.noise*r.NormFloat64(), 0.001),
			Celsius: rounded(18+amps+0.002*r.Float64(), 0.001), Counter: analyze.Unknown(), Line: k + 2,
		}
	}
	return list
}

// BenchmarkStep is a row's way through the machine, slow questions, finished charges
// and all. The rows are those of two weeks.
func BenchmarkStep(b *testing.B) {
	for _, h := range habits {
		rows := nightly(h.habit, 14*11*3600)
		for _, way := range []struct {
			name string
			take func(m *analyze.Machine)
		}{
			{"rows", func(m *analyze.Machine) {
				for k := range rows {
					m.Step(rows[k])
				}
			}},
			{"blocks", func(m *analyze.Machine) { m.StepBlock(rows) }},
		} {
			b.Run(h.name+"/"+way.name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					way.take(analyze.New(analyze.Options{}))
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(rows)), "ns/row")
			})
		}
	}
}
