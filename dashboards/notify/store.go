package notify

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"amphora/dashboards/durable"
)

// stateFile holds the ledger: a sealed file.
const (
	stateFile = "state"
	stateMark = "amphora-notify 2"
	// firstMark is how it began when it was one document under one checksum.
	firstMark = "amphora-notify 1 "
)

// part is a line of it. What there is many of has a line each, so that damage to one
// leaves the others.
type part struct {
	Ledger    *ledger    `json:"ledger,omitempty"` // without what follows
	Key       string     `json:"key,omitempty"`
	Condition *condition `json:"condition,omitempty"`
	Waiting   *Event     `json:"waiting,omitempty"`
	Unsent    *delivery  `json:"unsent,omitempty"`
}

// load reads the ledger of a folder; an empty one where there is none. One that is
// damaged is put aside and reported, with what could be read of it: something could
// then be told again, which is better than silence.
func load(dir string, now time.Time) (*ledger, error) {
	file := filepath.Join(dir, stateFile)
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return newLedger(), nil
	}
	if err != nil {
		return newLedger(), fmt.Errorf("read what was told already: %w", err)
	}
	l, err := parseState(b)
	l.first = now
	for _, d := range l.Unsent {
		d.since = now
	}
	if err != nil {
		l.Seen = map[string]uint64{} // what the journal tells again may be what was lost
		aside := file + ".damaged"
		err = fmt.Errorf("%s: %w; it is put aside as %s. Something may be told twice, and what waited there and cannot be read is not told", file, err, filepath.Base(aside))
		return l, errors.Join(err, os.Rename(file, aside))
	}
	return l, nil
}

// parseState gives what can be read, with an error if that is not all.
func parseState(b []byte) (*ledger, error) {
	l := newLedger()
	if bytes.HasPrefix(b, []byte(firstMark)) {
		head, text, _ := strings.Cut(string(b), "\n")
		if sum := sha256.Sum256([]byte(text)); head != firstMark+hex.EncodeToString(sum[:]) {
			return l, errors.New("the checksum does not match")
		}
		return l, json.Unmarshal([]byte(text), l)
	}
	lines, err := durable.Unseal(stateMark, b)
	for _, line := range lines {
		var p part
		if e := json.Unmarshal(line, &p); e != nil {
			err = errors.Join(err, e)
			continue
		}
		l.add(p)
	}
	return l, err
}

func (l *ledger) add(p part) {
	switch {
	case p.Ledger != nil:
		l.Up, l.Lost, l.Budget = p.Ledger.Up, p.Ledger.Lost, p.Ledger.Budget
		maps.Copy(l.Seen, p.Ledger.Seen)
	case p.Condition != nil:
		l.Conditions[p.Key] = p.Condition
	case p.Waiting != nil:
		l.Waiting = append(l.Waiting, *p.Waiting)
	case p.Unsent != nil:
		l.Unsent = append(l.Unsent, p.Unsent)
	}
}

// parts are the lines of the ledger.
func (l *ledger) parts() []part {
	all := []part{{Ledger: &ledger{Up: l.Up, Seen: l.Seen, Lost: l.Lost, Budget: l.Budget}}}
	for _, key := range slices.Sorted(maps.Keys(l.Conditions)) {
		all = append(all, part{Key: key, Condition: l.Conditions[key]})
	}
	for k := range l.Waiting {
		all = append(all, part{Waiting: &l.Waiting[k]})
	}
	for _, d := range l.Unsent {
		all = append(all, part{Unsent: d})
	}
	return all
}

// save puts the ledger down, whole or not at all.
func (l *ledger) save(dir string) error {
	var lines [][]byte
	for _, p := range l.parts() {
		text, err := json.Marshal(p)
		if err != nil {
			return fmt.Errorf("note what was told: %w", err)
		}
		lines = append(lines, text)
	}
	if err := durable.Replace(dir, stateFile, durable.Seal(stateMark, lines)); err != nil {
		return fmt.Errorf("note what was told: %w", err)
	}
	l.dirty = false
	return nil
}
