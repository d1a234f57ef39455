package madeup

import (
	"iter"
	"time"

	"amphora/analyze"
)

// tick is the model's step of time, in s. The true current is constant within
// it, so the sum over the ticks is the exact integral.
const tick = 0.5

// patience ends a charge that would never end by itself, in s.
const patience = 100 * 3600

// Night is one made-up log: what stood there, and what was done with it.
type Night struct {
	Name  string
	Story string
	Good  bool // nothing in it calls for a warning

	Battery Battery
	Charger Charger
	Meter   Meter
	Faults  Faults

	// Plan is what the household does, in order. Without one it looks at the
	// battery for two minutes, charges it, and leaves it alone for two hours.
	Plan []Phase

	Began  time.Time // the date of the first row; zero where the log knows none
	Layout Layout    // how Log writes it
	Seed   uint64
}

// Phase is one thing done with the battery.
type Phase struct {
	Do   Deed
	For  float64 // s; 0 lets a charge go on until the charger ends it
	Amps float64 // A drawn in a discharge
}

// Deed is a kind of phase.
type Deed int

// The deeds.
const (
	Rest Deed = iota
	Charging
	Discharge
)

// Sleep is a rest of so many seconds.
func Sleep(seconds float64) Phase { return Phase{Do: Rest, For: seconds} }

// Charge lets the charger work until it ends by itself.
func Charge() Phase { return Phase{Do: Charging} }

// ChargeFor takes the charger away after so many seconds.
func ChargeFor(seconds float64) Phase { return Phase{Do: Charging, For: seconds} }

// Draw discharges the battery.
func Draw(amps, seconds float64) Phase { return Phase{Do: Discharge, For: seconds, Amps: amps} }

// Samples gives the night's rows one after another, in constant memory.
func (n Night) Samples() iter.Seq[analyze.Sample] {
	return func(yield func(analyze.Sample) bool) { n.run(yield) }
}

// Truth lives through the night without a meter and tells what truly happened.
func (n Night) Truth() Truth {
	return n.run(func(analyze.Sample) bool { return true })
}

// Collect gives rows and truth at once, for nights that fit in memory.
func (n Night) Collect() ([]analyze.Sample, Truth) {
	var rows []analyze.Sample
	truth := n.run(func(s analyze.Sample) bool {
		rows = append(rows, s)
		return true
	})
	return rows, truth
}

func (n Night) run(yield func(analyze.Sample) bool) Truth {
	plan := n.Plan
	if plan == nil {
		plan = []Phase{Sleep(120), Charge(), Sleep(7200)}
	}
	s := scene{night: n, pack: newPack(n.Battery, n.Faults), meter: newReader(n)}
	s.volts = s.pack.settled()
	s.book = newBook(n, &s.pack)
	for i, phase := range plan {
		if !s.live(phase, i == len(plan)-1, yield) {
			break
		}
	}
	return s.book.close(s.now())
}

// scene is a night while it is lived through.
type scene struct {
	night   Night
	pack    pack
	charger charging
	meter   *reader
	book    *book
	ticks   int
	volts   float64 // at the battery, at the end of the last tick
}

// now is the time in s. It is counted, not added up, so it stays exact.
func (s *scene) now() float64 { return float64(s.ticks) * tick }

// live plays one phase and reports whether the listener wants more.
func (s *scene) live(phase Phase, last bool, yield func(analyze.Sample) bool) bool {
	if phase.Do == Charging {
		s.charger = s.night.Charger.start()
	}
	s.book.open(phase)
	begin := s.now()
	for !s.over(phase, s.now()-begin) {
		amps := s.step(phase)
		s.ticks++
		s.book.enter(phase, s.now(), s.volts, amps, &s.charger)
		volts := s.volts
		if s.night.Faults.ReversedLeads {
			volts = -volts
		}
		if row, ok := s.meter.read(s.now(), volts, amps, s.pack.celsius); ok && !yield(row) {
			return false
		}
	}
	s.book.shut(phase, last, s.now(), &s.charger)
	return true
}

func (s *scene) over(phase Phase, elapsed float64) bool {
	if phase.Do == Charging && (s.charger.done || elapsed >= patience) {
		return true
	}
	return phase.For > 0 && elapsed >= phase.For
}

// step is one tick of a phase. It leaves the volts in the scene and gives the
// amperes that pass the meter.
func (s *scene) step(phase Phase) (amps float64) {
	now, f := s.now(), s.night.Faults
	s.pack.runaway = 1
	switch {
	case phase.Do == Discharge:
		s.volts = s.pack.feed(-phase.Amps)
		return -phase.Amps
	case phase.Do == Rest || f.ReversedLeads:
		s.volts = s.pack.feed(0)
		return 0
	case f.OpenLeadAt > 0 && now >= f.OpenLeadAt:
		s.pack.feed(0)
		s.volts = s.night.Charger.Volts * wander(now)
		return 0
	}
	if f.RunawayAt > 0 && now >= f.RunawayAt {
		s.pack.runaway = doubled((now - f.RunawayAt) / f.RunawayEvery)
	}
	if f.StalledAt > 0 && now >= f.StalledAt {
		s.charger.Amps = f.StalledAmps
	}
	s.volts, amps = s.charger.step(&s.pack, s.volts, f.LoadAmps, within(f.Lost, now))
	return amps
}
