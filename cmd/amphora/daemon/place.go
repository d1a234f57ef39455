package daemon

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"sync"
	"sync/atomic"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// place is where in a channel's journal a story must begin so that it comes out
// the same, which decoder auto had chosen by then, and what was known of the battery.
type place struct {
	From    uint64 `json:"from"`
	Epoch   int64  `json:"epoch,omitempty"` // date of its first row, ns since 1970; 0: the row tells
	Decoder string `json:"decoder,omitempty"`
	Label   label  `json:"label,omitzero"`    // of the battery, as it was known there
	Told    bool   `json:"told,omitempty"`    // the lines told which way the current counts
	Guessed bool   `json:"guessed,omitempty"` // no name told which values are voltage and current
}

// story is one that begins there.
func (p place) story(decoder string, o analyze.Options) *story {
	s := newStory(decoder, o)
	s.chosen, s.second.told, s.guessed = p.Decoder, p.Told, p.Guessed
	s.restart(account{origin: p.From, epoch: p.Epoch, label: p.Label}, 0)
	return s
}

func (p place) String() string {
	b, _ := json.Marshal(p) // a number and a string always can
	return string(b)
}

func parsePlace(text string) (p place, err error) {
	if err := json.Unmarshal([]byte(text), &p); err != nil {
		return p, fmt.Errorf("place in the journal %q: %w", text, err)
	}
	return p, nil
}

// placeOf is where the account of a recorded charge begins. The error is an ErrNoRecord.
func placeOf(s *logbook.Session) (place, error) {
	if s.JournalFrom == "" {
		return place{}, ErrNoRecord
	}
	p, err := parsePlace(s.JournalFrom)
	if err != nil {
		err = fmt.Errorf("%w: %w", ErrNoRecord, err)
	}
	return p, err
}

// readPlace is the place that a channel had written down last; the journal's beginning where
// there is none, or none that can be read, which is an error: that costs time, and nothing else.
func readPlace(file string) (p place, err error) {
	err = readState(file, &p)
	if errors.Is(err, fs.ErrNotExist) {
		return place{From: 1}, nil
	}
	if err == nil && p.From == 0 {
		err = fmt.Errorf("read %s: it names no record", file)
	}
	if err != nil {
		return place{From: 1}, err
	}
	return p, nil
}

// places writes places down, and none over a later one that was written meanwhile. A turn is
// to be had while the disk takes its time: who asks for one has a line in hand.
type places struct {
	given atomic.Int64 // turns

	disk    sync.Mutex
	written int64 // the latest turn that was
}

func (n *places) next() (turn int64) { return n.given.Add(1) }

func (n *places) write(turn int64, place any, file string) error {
	n.disk.Lock()
	defer n.disk.Unlock()
	if turn < n.written {
		return nil
	}
	n.written = turn
	return writeState(file, place)
}
