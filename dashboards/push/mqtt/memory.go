package mqtt

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// memory is what the broker may retain for us, on disk, so that what is not ours any
// more can be taken back after the configuration has changed.
type memory struct {
	file  string
	ours  []string        // topics of the present configuration
	stale map[string]bool // topics of earlier ones, which the broker may still retain
}

// recall reads what an earlier configuration left behind. It returns a memory that
// can be used in any case.
func recall(file string, ours []string) (*memory, error) {
	m := &memory{file: file, ours: ours, stale: make(map[string]bool)}
	if file == "" {
		return m, nil
	}
	var kept struct{ Topics []string }
	b, err := os.ReadFile(file)
	if err == nil {
		err = json.Unmarshal(b, &kept)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return m, fmt.Errorf("what the broker retains of an earlier configuration is not known, and stays there: %w", err)
	}
	for _, topic := range kept.Topics {
		if !slices.Contains(ours, topic) {
			m.stale[topic] = true
		}
	}
	return m, m.save()
}

// gone notes that the broker does not retain a topic any more.
func (m *memory) gone(topic string) error {
	if !m.stale[topic] {
		return nil
	}
	delete(m.stale, topic)
	if len(m.stale) > 0 {
		return nil // those that are taken back twice do no harm
	}
	return m.save()
}

// save puts it down, whole or not at all.
func (m *memory) save() error {
	if m.file == "" {
		return nil
	}
	topics := slices.Clone(m.ours)
	for topic := range m.stale {
		topics = append(topics, topic)
	}
	slices.Sort(topics)
	b, err := json.MarshalIndent(map[string][]string{"topics": topics}, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(m.file), 0o750); err != nil {
		return err
	}
	if err := os.WriteFile(m.file+".new", b, 0o640); err != nil {
		return err
	}
	return os.Rename(m.file+".new", m.file)
}
