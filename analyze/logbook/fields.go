package logbook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"
)

// Fields are the fields of a battery or a reading that somebody gave, by their
// JSON names. A field that is absent stays as it is; null (nil) makes it
// unknown. This is a JSON merge patch (RFC 7396) of one level, and the one way
// in for flags of a command and bodies of a request alike.
type Fields map[string]any

// overlay lays the given fields over a record. Each unknown name and each value of
// the wrong kind is an *Invalid naming the field.
func overlay[T any](record T, given Fields) (T, error) {
	var none T
	fields, err := fieldsOf(record)
	if err != nil {
		return none, err
	}
	known := strings.Join(slices.Sorted(maps.Keys(fields)), ", ")
	var wrong []error
	for _, name := range slices.Sorted(maps.Keys(given)) {
		if _, ok := fields[name]; !ok {
			wrong = append(wrong, &Invalid{name, "is not known; known are " + known})
			continue
		}
		value, err := json.Marshal(given[name])
		if err != nil {
			wrong = append(wrong, &Invalid{name, fmt.Sprintf("is %v, want a value that JSON can hold", given[name])})
			continue
		}
		if why := misfit[T](name, value); why != "" {
			wrong = append(wrong, &Invalid{name, why})
			continue
		}
		fields[name] = value
	}
	if len(wrong) > 0 {
		return none, errors.Join(wrong...)
	}
	merged, err := json.Marshal(fields)
	if err != nil {
		return none, fmt.Errorf("write merged fields: %w", err)
	}
	// Decoding into a fresh record makes a null mean "unknown" for text too,
	// where over an old value it would change nothing.
	var out T
	if err := json.Unmarshal(merged, &out); err != nil {
		return none, fmt.Errorf("read merged fields: %w", err)
	}
	return out, nil
}

func fieldsOf[T any](record T) (map[string]json.RawMessage, error) {
	text, err := json.Marshal(record)
	if err != nil {
		return nil, fmt.Errorf("write fields: %w", err)
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(text, &fields); err != nil {
		return nil, fmt.Errorf("read fields: %w", err)
	}
	return fields, nil
}

// misfit says why a value cannot be a record's field. Each field is tried alone,
// because not every error of the decoder names the field.
func misfit[T any](name string, value json.RawMessage) string {
	alone, err := json.Marshal(map[string]json.RawMessage{name: value})
	if err == nil {
		err = json.Unmarshal(alone, new(T))
	}
	if err == nil {
		return ""
	}
	wanted := "a time like 2026-03-14T21:40:00Z"
	if kind, ok := errors.AsType[*json.UnmarshalTypeError](err); ok && kind.Type != reflect.TypeFor[time.Time]() {
		switch kind.Type.Kind() {
		case reflect.Float64:
			wanted = "a number"
		case reflect.Int:
			wanted = "a whole number"
		default:
			wanted = "text"
		}
	}
	return fmt.Sprintf("is %s, want %s", bytes.TrimSpace(value), wanted)
}
