package decoders

import (
	"errors"
	"math"
)

// Decoder reads one line. It has no clock, does no I/O and allocates nothing.
type Decoder interface {
	// Decode fills r with what the line says, in SI units, NaN for what it
	// does not say. The error is nil or a *Refusal; r then holds what could
	// still be read.
	Decode(line []byte, r *Reading) error
}

// Entry is one kind of decoder in the list.
type Entry struct {
	Name, About string
	New         func(*Layout) (Decoder, error)
	survey      func(*sample) []*table // readings of the lines as a table, for Fit; nil: cannot be guessed
}

// All lists every decoder, in the order in which Fit tries them: the ones
// that name their values come before bare columns, which claim anything.
func All() []Entry {
	return []Entry{jsonEntry, labelledEntry, columnsEntry, turnsEntry, patternEntry, answersEntry, registersEntry}
}

// Reading is what one line says, indexed by Quantity; NaN is unknown.
type Reading [quantities]float64

var blank = func() (r Reading) {
	for q := range r {
		r[q] = math.NaN()
	}
	return r
}()

// Refusal is a named reason why a line gave no sample.
type Refusal struct {
	reason string
	row    bool
}

// Error is the reason in a few words, as it is shown to people.
func (e *Refusal) Error() string { return e.reason }

// Row tells whether the line was a row of data that had to be rejected;
// false is for lines that never were (headers, banners, comments).
func (e *Refusal) Row() bool { return e.row }

// The refusals.
var (
	ErrNotMine    = &Refusal{"not a reading", false}
	ErrHalf       = &Refusal{"first half of a pair", false}
	ErrTorn       = &Refusal{"line cut short or joined", true}
	ErrChecksum   = &Refusal{"checksum does not match", true}
	ErrNumber     = &Refusal{"not a number", true}
	ErrRange      = &Refusal{"value out of range", true}
	ErrOverload   = &Refusal{"overload reading", true}
	ErrBlank      = &Refusal{"blank voltage and current", true}
	ErrBlankVolts = &Refusal{"blank voltage", true}
	ErrBlankAmps  = &Refusal{"blank current", true}
	ErrBlankTime  = &Refusal{"blank time", true}
	ErrStranger   = &Refusal{"from another device than expected", false}
	ErrRepeated   = &Refusal{"said before", false} // once more, after the source was opened anew
)

// ErrUndecodable marks every error of Fit: the lines hold nothing that can be
// decoded, or not without being told more.
var ErrUndecodable = errors.New("cannot be decoded")
