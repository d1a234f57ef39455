package daemon

import (
	"cmp"
	"math"
	"time"

	"amphora/analyze"
	"amphora/decoders"
)

// account is where the account of a charge begins.
type account struct {
	origin uint64           // its first record
	epoch  int64            // the date of its first row, ns since 1970; 0: that row tells
	label  label            // of the battery, as it was known there
	layout *decoders.Layout // of its first line; nil: that chosen, or configured
}

// A machine that has seen no charge for so long is put away: what it could still
// learn is not worth replaying days for after every restart.
const quietDay = 24 * time.Hour

// restart begins a new account at a record.
func (s *story) restart(a account, arrival float64) {
	s.know(memory{Label: a.label})
	o := s.opt
	o.Epoch = a.epoch
	s.machine = analyze.New(o)
	s.stream = nil
	if s.two != nil {
		s.two.restart(s.chosen)
	} else if l := cmp.Or(a.layout, s.layout()); l != nil {
		// The layout came from Parse or Fit, so a stream can be made of it.
		s.stream, _ = decoders.NewStream(l)
	}
	s.account, s.next, s.unread, s.laid = a, account{}, unread{}, s.inForce()
	if a.layout != nil && s.setting == "" {
		s.chosen = a.layout.String()
	}
	s.quietAt = arrival
	s.track = track{}
	if s.shape != nil {
		s.shape = newShape()
	}
	s.last.ok = false
}

// accountFrom is the account that begins with a row of the present one.
func (s *story) accountFrom(m trackMark) account {
	a := account{origin: m.seq, label: s.label, layout: m.layout}
	if epoch := s.machine.Epoch(); epoch != 0 {
		a.epoch = epoch + int64(math.Round(m.t*1e9))
	}
	return a
}

// here is the account of the charge under way, or of the next one.
func (s *story) here() account {
	if s.next.origin > s.account.origin {
		return s.next
	}
	return s.account
}

// place is where a replay finds an account.
func (s *story) place(a account) place {
	decoder := s.chosen
	if a.layout != nil && s.setting == "" {
		decoder = a.layout.String()
	}
	return place{From: a.origin, Epoch: a.epoch, Label: a.label, Decoder: decoder, Told: s.second.told, Guessed: s.guessed}
}
