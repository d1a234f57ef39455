package journal

import (
	"errors"
	"fmt"
)

// Causes of damage.
var (
	ErrChecksum = errors.New("checksum or layout does not fit")
	ErrHeader   = errors.New("header line is damaged")
	ErrTorn     = errors.New("last line is cut short")
	ErrMissing  = errors.New("records are missing")
	ErrFrame    = errors.New("compressed frame is damaged")
	ErrRead     = errors.New("file cannot be read")
	ErrVersion  = errors.New("written by another version of the program")
)

// Damage is one place where a journal is not as it was written. Reading goes on
// behind it.
type Damage struct {
	File   string
	Offset int64  // where it begins, in bytes of the uncompressed text
	Length int64  // bytes passed over; 0 if records are missing without a trace
	First  uint64 // number of the first record lost, if Lost is not 0
	Lost   uint64 // records known to be lost by the numbers before and after
	Cause  error  // wraps one of the causes above
}

func (d *Damage) Error() string {
	text := fmt.Sprintf("journal %s, byte %d, %d bytes: %v", d.File, d.Offset, d.Length, d.Cause)
	switch d.Lost {
	case 0:
		return text
	case 1:
		return fmt.Sprintf("%s; record %d is lost", text, d.First)
	}
	return fmt.Sprintf("%s; records %d to %d are lost (%d)", text, d.First, d.First+d.Lost-1, d.Lost)
}

func (d *Damage) Unwrap() error { return d.Cause }
