package mqtt

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
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

// memoryMark says what the file is: a sealed one, with a line for each topic and each
// event.
const memoryMark = "amphora-mqtt 1"

// kept is a line of the file: a topic that the broker may retain, or, with a payload, an
// event that waits for it.
type kept struct {
	Topic   string          `json:"topic"`
	Event   string          `json:"event,omitempty"`
	Payload json.RawMessage `json:"payload,omitempty"`
}

// recall reads what an earlier run left behind. It returns a memory that can be used
// in any case, with all that could be read. A damaged file is put aside.
func recall(file string, ours []string) (*memory, error) {
	m := &memory{file: file, ours: ours, stale: make(map[string]bool)}
	if file == "" {
		return m, nil
	}
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return m, m.earlier()
	}
	if err != nil {
		return m, fmt.Errorf("what the broker retains of an earlier configuration is not known, and stays there: %w", err)
	}
	damage := m.take(b)
	if damage != nil {
		aside := file + ".damaged"
		damage = fmt.Errorf("%s: %w; it is put aside as %s. Charges that waited for the broker may not be told of, and what it retains of an earlier configuration may stay there", file, damage, filepath.Base(aside))
		if err := os.Rename(file, aside); err != nil {
			return m, errors.Join(damage, err)
		}
	}
	return m, errors.Join(damage, m.save())
}

// take takes over all that can be read of a file, with an error if it is not all.
func (m *memory) take(b []byte) error {
	lines, damage := durable.Unseal(memoryMark, b)
	for _, line := range lines {
		var k kept
		if err := json.Unmarshal(line, &k); err != nil {
			damage = errors.Join(damage, err)
			continue
		}
		m.had(k)
	}
	return damage
}

// had takes over what an earlier run wrote down.
func (m *memory) had(k kept) {
	known := slices.Contains(m.ours, k.Topic)
	switch {
	case k.Payload == nil && !known:
		m.stale[k.Topic] = true
	case k.Payload != nil && known:
		m.events = append(m.events, &message{topic: k.Topic, event: k.Event, payload: k.Payload})
	}
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
	var lines [][]byte
	line := func(k kept) error {
		b, err := json.Marshal(k)
		lines = append(lines, b)
		return err
	}
	topics := slices.AppendSeq(slices.Clone(m.ours), maps.Keys(m.stale))
	slices.Sort(topics)
	for _, topic := range topics {
		if err := line(kept{Topic: topic}); err != nil {
			return err
		}
	}
	for _, e := range m.events {
		if err := line(kept{e.topic, e.event, e.payload}); err != nil {
			return err
		}
	}
	return durable.Replace(filepath.Dir(m.file), filepath.Base(m.file), durable.Seal(memoryMark, lines))
}
