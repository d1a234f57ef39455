package mqtt

import (
	"encoding/json"
	"os"
)

// earlier takes over the memory as it was written down at first: one document, without a
// checksum. What cannot be read of it is as if it had never been there.
func (m *memory) earlier() error {
	file := m.file + ".json"
	b, err := os.ReadFile(file)
	if err != nil {
		return m.save() // mostly there is none
	}
	var was struct {
		Topics  []string `json:"topics"`
		Waiting []kept   `json:"waiting"`
	}
	_ = json.Unmarshal(b, &was)
	for _, topic := range was.Topics {
		m.had(kept{Topic: topic})
	}
	for _, k := range was.Waiting {
		m.had(k)
	}
	if err := m.save(); err != nil {
		return err
	}
	return os.Remove(file)
}
