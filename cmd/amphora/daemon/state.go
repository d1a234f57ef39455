package daemon

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"amphora/dashboards/durable"
)

// What a channel must know after a start stands in small files of the state folder: its
// place in the journal, that in a log, its limits. Each is an object in JSON, sealed: one
// digit that a failing card changes would begin a charge at another line, and count it twice.

const stateMark = "amphora-state 1"

// writeState replaces a file of the state folder, whole or not at all.
func writeState(file string, v any) error {
	text, err := json.Marshal(v)
	if err == nil {
		err = durable.Replace(filepath.Dir(file), filepath.Base(file), durable.Seal(stateMark, [][]byte{text}))
	}
	if err != nil {
		return fmt.Errorf("write %s: %w", file, err)
	}
	return nil
}

// readState reads what writeState wrote. Where there is no file, the error is an fs.ErrNotExist.
func readState(file string, v any) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return fmt.Errorf("read a state: %w", err)
	}
	if !bytes.HasPrefix(text, []byte("{")) { // as the first programs wrote it, without a seal
		lines, err := durable.Unseal(stateMark, text)
		if err != nil {
			return fmt.Errorf("read %s: %w", file, err)
		}
		text = bytes.Join(lines, []byte("\n"))
	}
	if err := json.Unmarshal(text, v); err != nil {
		return fmt.Errorf("read %s: %w", file, err)
	}
	return nil
}
