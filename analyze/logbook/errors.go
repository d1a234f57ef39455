package logbook

import (
	"errors"
	"fmt"
	"strings"
)

// Errors that a caller may want to tell apart.
var (
	ErrNotFound = errors.New("is not in the logbook")
	ErrExists   = errors.New("is in the logbook already")
	ErrInUse    = errors.New("cannot be taken out")
	ErrBusy     = errors.New("the logbook is held by another process; try again")

	// ErrUnsettled says that a session may still be revised: what is said of it would be
	// written over.
	ErrUnsettled = errors.New("is the newest of its channel, and may still be revised")
)

// Invalid says which field cannot be stored and why.
type Invalid struct {
	Field string // the JSON name; empty where it is the record as a whole
	Why   string // continues a sentence that begins with the field's name
}

func (e *Invalid) Error() string {
	if e.Field == "" {
		return e.Why
	}
	return e.Field + " " + e.Why
}

// Damage is a logbook file that cannot be trusted. As an error of Open it says
// that the file was left as it is; from Recover it tells what was done.
type Damage struct {
	Path   string
	Reason string         // what the check found first
	Aside  string         // the name that Recover gave to the damaged file
	Saved  map[string]int // rows that Recover carried over, by table
	Torn   []string       // tables of which rows may be missing
}

func (d *Damage) Error() string {
	if d.Aside == "" {
		return fmt.Sprintf("logbook %s is damaged: %s; start the recorder, which sets it aside and saves what can be read",
			d.Path, d.Reason)
	}
	loss := "every table could be read to its end"
	if len(d.Torn) > 0 {
		loss = "entries may be missing: " + strings.Join(d.Torn, ", ")
	}
	return fmt.Sprintf("logbook %s was damaged: %s; it is kept as %s, and the new one has %d batteries, %d readings, %d notes and %d sessions out of it; %s",
		d.Path, d.Reason, d.Aside,
		d.Saved[batteryTable], d.Saved[readingTable], d.Saved[noteTable], d.Saved[sessionTable], loss)
}
