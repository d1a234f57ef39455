package notify

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"amphora/dashboards/durable"
)

// stateFile holds the ledger: one line with a checksum, then JSON.
const stateFile = "state"

const stateMark = "amphora-notify 1 "

// load reads the ledger of a folder; an empty one where there is none. One that is
// damaged is put aside and reported, with an empty one: what was told could then be
// told again, which is better than silence.
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
	if err != nil {
		aside := file + ".damaged"
		return newLedger(), errors.Join(fmt.Errorf("%s: %w; it is put aside as %s, and something may be told twice", file, err, filepath.Base(aside)), os.Rename(file, aside))
	}
	l.first = now
	for _, d := range l.Unsent {
		d.since = now
	}
	return l, nil
}

func parseState(b []byte) (*ledger, error) {
	head, text, _ := strings.Cut(string(b), "\n")
	sum := sha256.Sum256([]byte(text))
	if head != stateMark+hex.EncodeToString(sum[:]) {
		return nil, errors.New("the checksum does not match")
	}
	l := newLedger()
	if err := json.Unmarshal([]byte(text), l); err != nil {
		return nil, err
	}
	return l, nil
}

// save puts the ledger down, whole or not at all.
func (l *ledger) save(dir string) error {
	text, err := json.Marshal(l)
	if err != nil {
		return fmt.Errorf("note what was told: %w", err)
	}
	sum := sha256.Sum256(text)
	if err := durable.Replace(dir, stateFile, append([]byte(stateMark+hex.EncodeToString(sum[:])+"\n"), text...)); err != nil {
		return fmt.Errorf("note what was told: %w", err)
	}
	l.dirty = false
	return nil
}
