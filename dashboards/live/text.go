package live

import "encoding/json"

// Text is words of which there may be none: null in JSON.
type Text string

// MarshalJSON writes null for nothing.
func (t Text) MarshalJSON() ([]byte, error) {
	if t == "" {
		return []byte("null"), nil
	}
	return json.Marshal(string(t))
}
