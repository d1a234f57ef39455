package mqtt

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"amphora/dashboards/durable"
)

// memory is what outlasts us, on disk: what the broker may retain for us, so that
// what is not ours any more can be taken back after the configuration has changed,
// and the events that wait for it.
type memory struct {
	file   string
	ours   []string        // topics of the present configuration
	stale  map[string]bool // topics of earlier ones, which the broker may still retain
	events []*message      // as last written down
}

// kept is the memory as it is written down.
type kept struct {
	Topics  []string  `json:"topics"`
	Waiting []waiting `json:"waiting"`
}

type waiting struct {
	Topic   string          `json:"topic"`
	Event   string          `json:"event"`
	Payload json.RawMessage `json:"payload"`
}

// recall reads what an earlier run left behind. It returns a memory that can be used
// in any case.
func recall(file string, ours []string) (*memory, error) {
	m := &memory{file: file, ours: ours, stale: make(map[string]bool)}
	if file == "" {
		return m, nil
	}
	var was kept
	b, err := os.ReadFile(file)
	if err == nil {
		err = json.Unmarshal(b, &was)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return m, fmt.Errorf("what the broker retains of an earlier configuration is not known, and stays there: %w", err)
	}
	for _, topic := range was.Topics {
		if !slices.Contains(ours, topic) {
			m.stale[topic] = true
		}
	}
	for _, w := range was.Waiting {
		if slices.Contains(ours, w.Topic) {
			m.events = append(m.events, &message{topic: w.Topic, event: w.Event, payload: w.Payload})
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

// keep writes down which events wait, where they are others than before.
func (m *memory) keep(events []*message) error {
	if slices.Equal(events, m.events) {
		return nil
	}
	m.events = events
	return m.save()
}

// save puts it down, whole or not at all.
func (m *memory) save() error {
	if m.file == "" {
		return nil
	}
	now := kept{Topics: slices.Clone(m.ours), Waiting: []waiting{}}
	for topic := range m.stale {
		now.Topics = append(now.Topics, topic)
	}
	slices.Sort(now.Topics)
	for _, e := range m.events {
		now.Waiting = append(now.Waiting, waiting{e.topic, e.event, e.payload})
	}
	b, err := json.MarshalIndent(now, "", "  ")
	if err != nil {
		return err
	}
	return durable.Replace(filepath.Dir(m.file), filepath.Base(m.file), b)
}
