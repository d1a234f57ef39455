package logbook

import (
	"encoding/json"
	"fmt"
	"strconv"
	"time"
	"unicode/utf8"
)

// Text is a person's own words. Nothing said is null in JSON.
type Text string

// MarshalJSON writes null for nothing.
func (t Text) MarshalJSON() ([]byte, error) { return nullable(string(t)) }

// Date is a calendar date as exactly as it is known: "2026-03-14", "2026-03" or
// "2026" (ISO 8601). Not known is null in JSON.
type Date string

// MarshalJSON writes null for nothing.
func (d Date) MarshalJSON() ([]byte, error) { return nullable(string(d)) }

func nullable(s string) ([]byte, error) {
	if s == "" {
		return []byte("null"), nil
	}
	return json.Marshal(s)
}

// stamp is a time as the book keeps it: UTC, in whole milliseconds.
func stamp(t time.Time) time.Time { return time.UnixMilli(t.UnixMilli()).UTC() }

func checkDate(field string, d Date) error {
	if d == "" {
		return nil
	}
	for _, layout := range []string{"2006-01-02", "2006-01", "2006"} {
		if _, err := time.Parse(layout, string(d)); err == nil {
			return nil
		}
	}
	return &Invalid{field, fmt.Sprintf("is %q, want a date like 2026-03-14, 2026-03 or 2026", string(d))}
}

// checkTime keeps times to what RFC 3339 can write and an identity can sort.
func checkTime(field string, t *time.Time) error {
	if t != nil && (t.Year() < 1970 || t.Year() > 9999) {
		return &Invalid{field, fmt.Sprintf("is in the year %d, want 1970 to 9999", t.Year())}
	}
	return nil
}

// checkText refuses bytes that JSON would silently replace.
func checkText(field string, t Text) error {
	if !utf8.ValidString(string(t)) {
		return &Invalid{field, fmt.Sprintf("is not UTF-8 text: %q", string(t))}
	}
	return nil
}

// checkRange takes values above one limit and up to the other; nil is unknown.
// A NaN is in no range.
func checkRange(field string, v *float64, above, upTo float64, unit string) error {
	if v == nil || (*v > above && *v <= upTo) {
		return nil
	}
	return &Invalid{field, fmt.Sprintf("is %s, want more than %v and at most %v %s", strconv.FormatFloat(*v, 'f', -1, 64), above, upTo, unit)}
}
