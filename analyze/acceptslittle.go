package analyze

import "fmt"

// Accepts little: the voltage limit came almost at once, and next to nothing went
// in. Of a battery that was full that is right, and a note. Where the voltage
// before the charge said that it was empty, it is a warning: sulphated plates or a
// dried-out cell raise the voltage as a full battery does. How much is little: a
// twentieth of the capacity; without one, a quarter of an hour at the set current, or half an
// hour of a lead-acid battery that was empty: half of it was missing, and no charger for it gives
// its capacity in an hour.
// Nothing is said where nobody saw it begin, nor where the voltage that was held is one at which no
// lead-acid battery fills (see leadByItself): plates that are worn raise it. Common practice, no source. The rest voltage is read with the tables of soc.go. It
// clears where the charger goes on and more goes in.
const (
	littleOfCapacity = 0.05
	littleHours      = 0.25
	emptyHours       = 0.5
	littleEmpty      = 0.5  // state of charge, with the table's tolerance: below, it was no full battery
	sulphatedShare   = 0.35 // of what was missing by the rest voltage, though
)

// An empty lead-acid battery takes a gentle current for hours before its voltage comes to the limit. One that is
// there within minutes is sulphated, also where it goes on to take a trickle that never tails off.
const (
	atLimitAtOnce = 0.02       // of capacity, that went in by then
	gentle        = 0.2 / 3600 // of capacity in a second
	atLimitFor    = 3600       // s
)

func acceptsLittle(s *sight) claim {
	if !Known(s.v.cv) || s.c.late || !Known(s.v.finish) && !s.atLimitAtOnce() {
		return claim{}
	}
	in := s.untilFinish() + s.c.unseen
	id := &s.c.bounds.of
	state, told, empty := s.stoodEmpty()
	little := littleHours * secondsPerHour * s.v.set
	if empty && id.chemistry.Lead() {
		little = emptyHours * secondsPerHour * s.v.set
	}
	if c := s.o.Capacity; c > 0 {
		little = littleOfCapacity * c
		if empty {
			little = max(little, sulphatedShare*(1-state.High)*c)
		}
	}
	if in*s.o.Patience.of(CodeAcceptsLittle) >= little || id.underfed(s.v.held) {
		return claim{}
	}
	a := claim{holds: true, severity: Note, since: s.c.begin.t}
	came := fmt.Sprintf("the limit of %.2f V came after %s and only %.3g Ah went in", s.v.held, clock(s.v.cv-s.c.begin.t), ampHours(in))
	switch {
	case empty:
		a.severity = Warning
		a.message = fmt.Sprintf("%s, though %.2f V before the charge said that it was empty (about %.0f %%): %s", came, s.c.resting, 100*state.Fraction, spent(id.chemistry))
		if s.c.hold.leapt {
			a.message += ". A clamp that makes bad contact looks alike: see to that first"
		}
	case told:
		a.message = fmt.Sprintf("%s: the battery was full already, as %.2f V before the charge agree", came, s.c.resting)
	case id.chemistry == "" || id.chemistry.Lead():
		a.message = came + ": the battery was full already, or, if it was empty, it is sulphated"
	default:
		a.message = came + ": the battery was full already, or, if it was empty, it is worn"
	}
	return a
}

// stoodEmpty reads the state of charge off the voltage before, where that tells one, and whether it was empty by that.
func (s *sight) stoodEmpty() (state RestState, told, empty bool) {
	id := &s.c.bounds.of
	state, told = StateOfCharge(id.chemistry, s.c.resting, id.cells, s.celsius)
	return state, told, told && state.High < littleEmpty
}

// atLimitAtOnce reports whether lead-acid that was empty came to its limit at once, and has been there for long.
func (s *sight) atLimitAtOnce() bool {
	c := s.o.Capacity
	if !Known(s.v.cv) || s.c.late || !s.c.bounds.of.chemistry.Lead() || c == 0 || s.v.set > gentle*c || s.now-s.v.cv < atLimitFor {
		return false
	}
	_, _, empty := s.stoodEmpty()
	return empty && s.c.trace.sumAt(s.v.cv).in-s.c.begin.sum.in < atLimitAtOnce*c
}

// spent is what is wrong with a battery that takes next to nothing though it is empty, and
// what to look at. Sulphate and drying out are lead-acid's.
func spent(c Chemistry) string {
	if c.Lead() {
		return "it is probably sulphated or dried out. Let it rest a day and measure again; look at the acid of a vented one"
	}
	return "it is probably worn, or has a capacity or a kind other than stated. Look at the label; let it rest a day and measure again"
}
