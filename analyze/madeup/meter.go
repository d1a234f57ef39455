package madeup

import (
	"math"
	"math/rand/v2"
	"time"

	"amphora/analyze"
)

// Meter is what stands between the battery and the log. A zero switches an
// imperfection off.
type Meter struct {
	Every   float64 // s from row to row
	Jitter  float64 // s, how far a row may stand off its beat either way; less than half of Every
	Missing float64 // share of the rows that are lost
	Silent  []Span  // stretches without rows
	OnStep  float64 // A; a change of the current by more is written at once, between the beats

	NoiseVolts float64 // V, standard deviation
	NoiseAmps  float64 // A
	StepVolts  float64 // V, resolution
	StepAmps   float64 // A
	ZeroAmps   float64 // A read where nothing flows
	GainVolts  float64 // relative error: 0.001 reads 0.1 % too much
	GainAmps   float64

	Celsius bool // it has a thermometer, with a resolution of 0.1 K
}

// reader is a meter at work.
type reader struct {
	Meter
	random *rand.Rand
	began  time.Time
	steps  []Step
	row    float64
	next   float64 // s, when the next row is due
	shown  float64 // A, true current of the last row
}

func newReader(n Night) *reader {
	return &reader{Meter: n.Meter, random: newRandom(n.Seed), began: n.Began, steps: n.Faults.ClockSteps}
}

// newRandom is a source of chance that is the same on every machine.
func newRandom(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0xa3f0)) }

// read writes the row that is due before end, if one is, and says so.
func (r *reader) read(end, volts, amps, celsius float64) (s analyze.Sample, ok bool) {
	at := r.next
	switch {
	case at < end:
		r.row++
		r.next = r.row*r.Every + r.Jitter*(2*r.random.Float64()-1)
	case r.OnStep > 0 && math.Abs(amps-r.shown) > r.OnStep:
		at = end - tick
	default:
		return s, false
	}
	r.shown = amps
	s = analyze.Sample{
		At:      r.clock(at),
		Volts:   round(volts*(1+r.GainVolts)+r.NoiseVolts*r.random.NormFloat64(), r.StepVolts),
		Amps:    round(amps*(1+r.GainAmps)+r.ZeroAmps+r.NoiseAmps*r.random.NormFloat64(), r.StepAmps),
		Celsius: analyze.Unknown(),
		Counter: analyze.Unknown(),
	}
	if r.Meter.Celsius {
		s.Celsius = round(celsius, 0.1)
	}
	if !r.began.IsZero() {
		s.Wall = r.began.UnixNano() + int64(math.Round(s.At*1000))*int64(time.Millisecond)
	}
	lost := r.random.Float64() < r.Missing && at > 0
	return s, !lost && !within(r.Silent, at)
}

// clock is the time on the meter's own clock, to the millisecond.
func (r *reader) clock(at float64) float64 {
	for _, s := range r.steps {
		if at >= s.At {
			at += s.By
		}
	}
	return round(at, 0.001)
}

// round gives the nearest multiple of step. Steps are 1/n, where dividing by n
// gives the same bits as reading the decimal number does.
func round(x, step float64) float64 {
	if step == 0 {
		return x
	}
	n := math.Round(1 / step)
	return math.Round(x*n) / n
}
